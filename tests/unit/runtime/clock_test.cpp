// Whether the clock of the machine is set by somebody: what counts as yes.
#include "daemon/runtime/clock.hpp"

#include <gtest/gtest.h>
#include <sys/timex.h>

namespace maslin::runtime {
namespace {

TEST(Clock, IsSynchronisedOnlyWhereTheKernelSaysSo) {
  EXPECT_TRUE(is_synchronised(TIME_OK));
  EXPECT_TRUE(is_synchronised(TIME_INS)) << "a leap second is due";
  EXPECT_FALSE(is_synchronised(TIME_ERROR));
  EXPECT_FALSE(is_synchronised(-1)) << "a call that is refused tells nothing";
}

}  // namespace
}  // namespace maslin::runtime
