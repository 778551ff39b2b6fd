// The numbers of the simulated kitchen: the same at every run, and no seed's are another one's.
#include "plugins/kitchen/chance.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

namespace maslin::kitchen {
namespace {

std::vector<double> drawn(std::uint64_t seed, std::uint64_t stream) {
  Chance chance(seed, stream);
  std::vector<double> all(64);
  std::generate(all.begin(), all.end(), [&] { return chance.uniform(); });
  return all;
}

bool share_a_number(const std::vector<double>& a, const std::vector<double>& b) {
  return std::find_first_of(a.begin(), a.end(), b.begin(), b.end()) != a.end();
}

TEST(Chance, IsTheSameAtEveryRun) { EXPECT_EQ(drawn(7, 3), drawn(7, 3)); }

TEST(Chance, NeighbouringSeedsAndStreamsShareNoNumbers) {
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    EXPECT_FALSE(share_a_number(drawn(seed, 1), drawn(seed + 1, 1))) << seed;
    EXPECT_FALSE(share_a_number(drawn(seed, 1), drawn(seed, 2))) << seed;
  }
}

TEST(Chance, LiesBetweenNoughtAndOneEvenly) {
  double sum = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    for (const double one : drawn(seed, 5)) {
      EXPECT_GT(one, 0);
      EXPECT_LT(one, 1);
      sum += one / (200 * 64);
    }
  }
  EXPECT_NEAR(sum, 0.5, 0.01);
}

}  // namespace
}  // namespace maslin::kitchen
