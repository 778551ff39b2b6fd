// The solids of a pan by what went in and by its boil, with what each is good for.
#include "daemon/preserving/solids.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/syrup.hpp"

namespace maslin::preserving {
namespace {

constexpr double standard_pa = 101'325;

TEST(SolidsIn, AddUpByTheirShares) {
  const std::array parts{SolidsIn{930, 0.5, 0.11}, SolidsIn{600, 0.5, 1}, SolidsIn{30, 0.5, 0}};
  const auto sum = solids_in(parts);
  EXPECT_NEAR(sum.all_g, 1560, 1e-9);
  EXPECT_NEAR(sum.solids_g, 702.3, 1e-9);
  EXPECT_NEAR(sum.solids_u_g, 5.93, 0.05);  // a tenth of the juice's, rectangular, and the scale
  EXPECT_EQ(sum.unknown_share, 0);
}

TEST(SolidsIn, WhatNobodyToldCountsAsAnythingFromNoneToAll) {
  const std::array parts{SolidsIn{600, 0, 1}, SolidsIn{60, 0, -1}};
  const auto sum = solids_in(parts);
  EXPECT_NEAR(sum.solids_g, 630, 1e-9);
  EXPECT_NEAR(sum.solids_u_g, 60 / std::sqrt(12.0), 1e-6);
  EXPECT_NEAR(sum.unknown_share, 60.0 / 660, 1e-9);
}

// Starzak & Peacock at 65 %: 3.7944 K over water.
TEST(SolidsByBoil, IsTheTableAndIsLessSureWithAWorseProbe) {
  const double boil_k = saturation_temperature_k(standard_pa).value() + 3.7944;
  const auto good = solids_by_boil(boil_k, 0.1, standard_pa).value();
  const auto bad = solids_by_boil(boil_k, 0.6, standard_pa).value();
  EXPECT_NEAR(good.pct, 65, 0.05);
  EXPECT_LT(good.u_pct, bad.u_pct);
  EXPECT_GT(good.u_pct, 1.5);
  EXPECT_LT(bad.u_pct, 6);
}

TEST(SolidsByBoil, SaysNothingBelowWaterOrAboveTheTable) {
  const double water_k = saturation_temperature_k(standard_pa).value();
  EXPECT_FALSE(solids_by_boil(water_k - 0.5, 0.1, standard_pa).has_value());
  EXPECT_FALSE(solids_by_boil(water_k + 9, 0.1, standard_pa).has_value());
}

}  // namespace
}  // namespace maslin::preserving
