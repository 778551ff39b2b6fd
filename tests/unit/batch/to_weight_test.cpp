// The account of what is dried to a weight, where nothing is left of it.
#include "daemon/batch/to_weight.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace maslin::batch {
namespace {

TEST(ToWeight, LosesAllAndNotNothingOfNothing) {
  ToWeight account(200'000, 0);
  account.begin(1'000'000'000, {0, 1'000'000'000, 500'000});
  account.add({3'600'000, 400'000'000, 500'000});
  EXPECT_DOUBLE_EQ(account.lost_pct(), 60);
  account.keep(0);
  EXPECT_DOUBLE_EQ(account.lost_pct(), 100);
  EXPECT_TRUE(std::isfinite(account.status().lost_pct));
}

}  // namespace
}  // namespace maslin::batch
