// Volumes of the household measures against NIST Handbook 44 appendix C and 21 CFR
// 101.9(b)(5)(viii).
#include <gtest/gtest.h>

#include <map>

#include "daemon/quantity/household.hpp"
#include "daemon/quantity/readings.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::quantity {
namespace {

using reference::Row;
using reference::table;

// The printed figures are exact, so the tolerance is that of a double.
TEST(NistHb44AppendixC, HouseholdVolumesAndAvoirdupoisMasses) {
  int volumes = 0;
  for (const Row& row : table("volume_units.csv")) {
    SCOPED_TRACE(row.shown());
    const std::string& unit = row.text("unit");
    const double printed = row.number("mL_customary");
    if (unit.ends_with("(g)")) {
      const auto amount = parse_amount(unit.starts_with("ounce") ? "1 oz" : "1 lb").value();
      // 28.349523125 g ends in half a microgram.
      EXPECT_NEAR(static_cast<double>(stated_micrograms(amount).value()), printed * 1e6, 0.5000001);
      const auto device =
          micrograms(1, 0, unit.starts_with("ounce") ? proto::Unit::oz : proto::Unit::lb);
      EXPECT_EQ(device, stated_micrograms(amount));
      continue;
    }
    const Measure measure = parse_amount("1 " + unit).value().measure;
    EXPECT_DOUBLE_EQ(value(millilitres(measure, Cups::us_customary).value()), printed);
    const auto label = millilitres(measure, Cups::us_label);
    ASSERT_EQ(label.has_value(), !row.empty("mL_nutrition_label"));
    if (label) {
      EXPECT_DOUBLE_EQ(value(*label), row.number("mL_nutrition_label"));
    }
    ++volumes;
  }
  EXPECT_EQ(volumes, 7);
}

// NIST Handbook 44 appendix C and HB 133: troy and avoirdupois from the grain of 64.79891 mg; carat
// 200 mg. Tael and ton: from memory, see the README of quantity/.
TEST(HidMassUnits, EveryUnitOfTheUsageTable) {
  using proto::Unit;
  const std::map<Unit, std::int64_t> micrograms_of_a_thousand{{Unit::mg, 1'000'000},
                                                              {Unit::g, 1'000'000'000},
                                                              {Unit::kg, 1'000'000'000'000},
                                                              {Unit::ct, 200'000'000},
                                                              {Unit::tael, 37'500'000'000},
                                                              {Unit::gr, 64'798'910},
                                                              {Unit::dwt, 1'555'173'840},
                                                              {Unit::t, 1'000'000'000'000'000},
                                                              {Unit::ton, 907'184'740'000'000},
                                                              {Unit::ozt, 31'103'476'800},
                                                              {Unit::oz, 28'349'523'125},
                                                              {Unit::lb, 453'592'370'000}};
  ASSERT_EQ(micrograms_of_a_thousand.size(), 12U);
  for (const auto& [unit, expected] : micrograms_of_a_thousand) {
    EXPECT_EQ(micrograms(1000, 0, unit), expected) << proto::name(unit);
    EXPECT_EQ(micrograms(1, 3, unit), expected) << proto::name(unit);
  }
}

}  // namespace
}  // namespace maslin::quantity
