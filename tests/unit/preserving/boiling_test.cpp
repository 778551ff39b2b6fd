// Where water boils, and the catalogue of cautions as the plan relies on it.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <set>

#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/cautions.hpp"

namespace maslin::preserving {
namespace {

TEST(BoilingPoint, FallsWithAltitude) {
  EXPECT_GT(boiling_point_mk(0).value(), boiling_point_mk(500).value());
  EXPECT_GT(boiling_point_mk(500).value(), boiling_point_mk(3000).value());
}

TEST(BoilingPoint, AtTheSeaIsNotQuiteAHundredDegrees) {
  EXPECT_EQ(boiling_point_mk(0).value(), 273'150 + 99'974);
}

TEST(BoilingPoint, RefusesAltitudesOfNoKitchen) {
  for (const double altitude :
       {-431.0, 8800.1, 9000.0, 1e9, std::numeric_limits<double>::quiet_NaN()}) {
    const auto answer = boiling_point_mk(altitude);
    ASSERT_FALSE(answer.has_value()) << altitude;
    EXPECT_NE(answer.error().todo.find("-430 to 8800"), std::string::npos);
  }
}

TEST(SaturationTemperature, RefusesPressuresOutsideTheFormulation) {
  EXPECT_TRUE(saturation_temperature_k(611.213).has_value());
  EXPECT_FALSE(saturation_temperature_k(611.2).has_value());
  EXPECT_TRUE(saturation_temperature_k(22.064e6).has_value());
  EXPECT_FALSE(saturation_temperature_k(22.065e6).has_value());
  EXPECT_FALSE(saturation_temperature_k(std::nan("")).has_value());
}

TEST(Cautions, EachHasAnIdOfItsOwnOneLineAndItsEvidence) {
  const std::set<std::string_view> classes{"published", "published, from memory", "common practice",
                                           "from memory"};
  std::set<std::string_view> ids;
  for (const CautionEntry& entry : caution_catalogue()) {
    EXPECT_TRUE(ids.insert(entry.id).second) << entry.id;
    EXPECT_FALSE(entry.at.empty());
    EXPECT_EQ(entry.text.find('\n'), std::string_view::npos);
    EXPECT_TRUE(classes.contains(entry.evidence)) << entry.evidence;
    EXPECT_EQ(&caution(entry.id), &entry);
  }
}

}  // namespace
}  // namespace maslin::preserving
