// Pressure and boiling point against published and independently computed tables; the source is in
// the first line of each file.
#include <gtest/gtest.h>

#include <cmath>

#include "daemon/preserving/boiling.hpp"
#include "daemon/quantity/atmosphere.hpp"
#include "tests/reference/csv.hpp"

namespace maslin {
namespace {

using preserving::saturation_temperature_k;
using quantity::standard_pressure_pa;
using reference::Row;
using reference::table;

constexpr double kKelvinAtZeroC = 273.15;

// IAPWS R7-97(2012): table 36 checks equation 31, table 35 the equation that it inverts, so its
// pressures must lead back to its temperatures. Printed to nine figures.
TEST(Iapws97Region4, Tables35And36) {
  for (const Row& row : table("if97_region4_check.csv")) {
    SCOPED_TRACE(row.shown());
    const bool inverse = row.text("table") == "35";
    const double megapascal = row.number(inverse ? "printed" : "input");
    const double kelvin = row.number(inverse ? "input" : "printed");
    EXPECT_NEAR(saturation_temperature_k(megapascal * 1e6).value(), kelvin, 1e-6);
  }
}

// 0, 1000 and 2000 m are printed values that were checked, 500 m is from memory.
// Equation 30 forwards, from the published coefficients alone: its pressure must lead back.
TEST(Iapws97Region4, Table34) {
  double n[11] = {};
  for (const Row& row : table("if97_region4_coeff.csv")) {
    n[static_cast<int>(row.number("i"))] = row.number("n_i");
  }
  for (double kelvin = 343; kelvin <= 375; kelvin += 0.5) {
    SCOPED_TRACE(kelvin);
    const double v = kelvin + n[9] / (kelvin - n[10]);
    const double a = v * v + n[1] * v + n[2];
    const double b = n[3] * v * v + n[4] * v + n[5];
    const double c = n[6] * v * v + n[7] * v + n[8];
    const double root = 2 * c / (-b + std::sqrt(b * b - 4 * a * c));
    EXPECT_NEAR(saturation_temperature_k(std::pow(root, 4) * 1e6).value(), kelvin, 1e-9);
  }
}

TEST(UsStandardAtmosphere1976, PressureOverGeopotentialAltitude) {
  for (const Row& row : table("us76_pressure_metric.csv")) {
    SCOPED_TRACE(row.shown());
    const double pressure = standard_pressure_pa(row.number("H_geopotential_m")).value();
    EXPECT_NEAR(pressure, row.number("p_Pa"), 0.006);
    if (!row.empty("printed_pa")) {
      EXPECT_NEAR(pressure, row.number("printed_pa"), 0.06);
    }
    EXPECT_NEAR(saturation_temperature_k(pressure).value() - kKelvinAtZeroC, row.number("T_boil_C"),
                6e-5);
  }
}

TEST(AltitudeBoilingTable, BoilingPointInTheKitchen) {
  for (const Row& row : table("altitude_boiling_gel.csv")) {
    SCOPED_TRACE(row.shown());
    const double altitude_m = row.number("altitude_ft") * 0.3048;
    EXPECT_NEAR(altitude_m, row.number("altitude_m"), 0.006);
    const auto boiling = preserving::boiling_point_mk(altitude_m).value();
    EXPECT_NEAR(static_cast<double>(boiling) / 1000.0 - kKelvinAtZeroC, row.number("T_boil_C"),
                6e-4);
  }
}

// USDA Complete Guide to Home Canning (AIB 539), temperature test for jelly: the printed gel
// temperatures lie about 8 °F above the boil. They are rounded to whole degrees, and the table
// departs from the rule by up to 0.65 °F (at 4000 ft, not printed here), so that a degree is what
// may be asked.
TEST(UsdaJellyTable, GelTemperatureIsEightFahrenheitAboveTheBoil) {
  int rows = 0;
  for (const Row& row : table("altitude_boiling_gel.csv")) {
    if (row.empty("gel_F")) continue;
    SCOPED_TRACE(row.shown());
    const auto boiling = preserving::boiling_point_mk(row.number("altitude_ft") * 0.3048).value();
    const double fahrenheit = static_cast<double>(boiling) / 1000.0 * 1.8 - 459.67;
    EXPECT_NEAR(fahrenheit + 8.0, row.number("gel_F"), 1.0);
    ++rows;
  }
  EXPECT_EQ(rows, 7);
}

}  // namespace
}  // namespace maslin
