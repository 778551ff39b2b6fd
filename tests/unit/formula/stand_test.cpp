// What stands for weeks, shares of a brine and of meat and water, and the label of a curing salt.
#include <gmock/gmock.h>

#include "daemon/formula/read.hpp"

namespace maslin::formula {
namespace {

using testing::HasSubstr;

constexpr std::int64_t hour_ms = 3'600'000;

std::string loin(const std::string& stand, const std::string& more = {}) {
  return "name = \"Pier loin\"\nstatus = \"own\"\nkeeping = \"refrigerator\"\n" + more +
         "[[ingredient]]\nname = \"loin\"\namount = \"1 kg\"\ncounts_as = \"meat\"\nband = \"5 "
         "%\"\n"
         "[[ingredient]]\nname = \"water\"\namount = \"500 g\"\ncounts_as = \"water\"\n"
         "band = \"5 %\"\n"
         "[[ingredient]]\nname = \"salt\"\namount = \"37.5 g\"\ncounts_as = \"salt\"\n"
         "band = \"5 %\"\n[[operation]]\nkind = \"weigh\"\n[[operation]]\nkind = \"stand\"\n" +
         stand;
}

// Roots, which may stand anywhere.
Operation stand_of(const std::string& stand) {
  std::string text = loin(stand);
  text.replace(text.find("\"meat\""), 6, "\"low-acid food\"");
  const auto formula = read(text, "pier.toml");
  EXPECT_TRUE(formula.has_value()) << proto::line(formula.error().front());
  return formula ? formula->operations.back() : Operation{};
}

std::string fault_of(const std::string& text) {
  const auto formula = read(text, "pier.toml");
  if (formula) return "none";
  std::string all;
  for (const auto& one : formula.error()) all += proto::line(one) + "\n";
  return all;
}

Ratio ratio_of(const std::string& text) {
  const auto formula =
      read(loin("time = \"1 day\"\nmost = \"4 °C\"\ncold_chain = true\n") + "[[ratio]]\n" + text,
           "pier.toml");
  EXPECT_TRUE(formula.has_value()) << proto::line(formula.error().front());
  return formula ? formula->ratios.front() : Ratio{};
}

TEST(Stand, HasItsTimeInDaysAndTheBoundsOfItsPlace) {
  const auto stand = stand_of(
      "time = \"2 weeks\"\nleast = \"34 °F\"\nmost = \"4 °C\"\noutside = \"90 min\"\n"
      "unmeasured = \"10 h\"\ncold_chain = true\n");
  EXPECT_EQ(stand.kind, Kind::stand);
  EXPECT_EQ(stand.duration_ms, 14 * 24 * hour_ms);
  EXPECT_EQ(stand.least_mk, 274'261);
  EXPECT_EQ(stand.most_mk, 277'150);
  EXPECT_EQ(stand.outside_ms, 90 * 60'000);
  EXPECT_EQ(stand.unmeasured_ms, 10 * hour_ms);
  EXPECT_TRUE(stand.cold_chain);
}

TEST(Stand, IsStrictWhereTheFormulaSaysNothing) {
  const auto stand = stand_of("time = \"10 days\"\nmost = \"22 °C\"\n");
  EXPECT_EQ(stand.outside_ms, 2 * hour_ms);
  EXPECT_EQ(stand.unmeasured_ms, 12 * hour_ms);
  EXPECT_EQ(stand_of("time = \"10 days\"\n").outside_ms, 0);
}

TEST(Stand, SaysWhatIsWrongWithIt) {
  EXPECT_THAT(fault_of(loin("")), HasSubstr("write time = \"14 days\""));
  EXPECT_THAT(fault_of(loin("time = \"1 day\"\nleast = \"5 °C\"\nmost = \"4 °C\"\n")),
              HasSubstr("no temperature that is allowed"));
  EXPECT_THAT(fault_of(loin("time = \"1 day\"\noutside = \"2 h\"\n")),
              HasSubstr("no bounds of the temperature"));
  EXPECT_THAT(fault_of(loin("time = \"1 day\"\ncold_chain = true\n")),
              HasSubstr("does not say how cold"));
  EXPECT_THAT(fault_of(loin("time = \"1 day\"\nwhile = \"boiling\"\n")),
              HasSubstr("\"while\" means nothing in this operation"));
}

TEST(Ratio, MaySumUpSeveralGroups) {
  const auto ratio = ratio_of("of = \"salt\"\nper = \"meat and water\"\nleast = \"2.4 %\"\n");
  EXPECT_EQ(ratio.per, (Groups{Counts::meat, Counts::water}));
  EXPECT_EQ(ratio.limit_ppm, 24'000);
  EXPECT_EQ(ratio.share_ppm, 0);
  EXPECT_EQ(ratio.per_text(), "meat and water");
}

// 5 % of a brine are 5 parts beside 95 of water; to the safe side on either end.
TEST(Ratio, OfAWholeThatItIsPartOfIsHeldBesideTheRest) {
  const auto least = ratio_of("of = \"salt\"\nper = \"salt and water\"\nleast = \"5 %\"\n");
  EXPECT_EQ(least.limit_ppm, 52'632);
  EXPECT_EQ(least.share_ppm, 50'000);
  EXPECT_EQ(least.per, Groups{Counts::water});
  EXPECT_EQ(least.per_text(), "salt and water");
  EXPECT_EQ(ratio_of("of = \"salt\"\nper = \"salt and water\"\nmost = \"7 %\"\n").limit_ppm,
            75'268);
}

TEST(Ratio, CannotBeAllOfAWhole) {
  const auto text = loin("time = \"1 day\"\n");
  EXPECT_THAT(
      fault_of(text + "[[ratio]]\nof = \"salt\"\nper = \"salt and water\"\nmost = \"1.5\"\n"),
      HasSubstr("cannot be all of it"));
  EXPECT_THAT(fault_of(text + "[[ratio]]\nof = \"salt\"\nper = \"salt\"\nmost = \"0.5\"\n"),
              HasSubstr("to itself"));
  EXPECT_THAT(
      fault_of(text + "[[ratio]]\nof = \"salt\"\nper = \"meat and meet\"\nmost = \"0.5\"\n"),
      HasSubstr("\"meet\" is not known"));
}

std::string cured(const std::string& label) {
  std::string text = loin("time = \"1 day\"\nmost = \"4 °C\"\ncold_chain = true\n");
  for (const char* side : {"least = \"2 %\"", "most = \"3 %\""}) {
    text += "[[ratio]]\nof = \"salt\"\nper = \"meat and water\"\n" + std::string(side) + "\n";
  }
  return text +
         "[[ingredient]]\nname = \"cure\"\namount = \"2 g\"\ncounts_as = \"curing salt\"\n"
         "band = \"5 %\"\n" +
         label;
}

TEST(CuringSalt, StatesItsLabelAndItsLimit) {
  const auto formula =
      read(cured("nitrite = \"6.25 %\"\nnitrite_limit = \"home cure\"\n"), "pier.toml");
  ASSERT_TRUE(formula.has_value()) << proto::line(formula.error().front());
  EXPECT_EQ(formula->ingredients.back().nitrite_ppm, 62'500);
  EXPECT_EQ(formula->ingredients.back().nitrite_limit, "home cure");
  EXPECT_EQ(read(cured("nitrite = \"0.0625\"\nnitrite_limit = \"home cure\"\n"), "pier.toml")
                ->ingredients.back()
                .nitrite_ppm,
            62'500);
}

TEST(CuringSalt, WithoutALabelOrWithPercentForAShareIsRefused) {
  EXPECT_THAT(fault_of(cured("nitrite_limit = \"home cure\"\n")),
              HasSubstr("a mix without a label is not used"));
  EXPECT_THAT(fault_of(cured("nitrite = \"6.25\"\nnitrite_limit = \"home cure\"\n")),
              HasSubstr("percent is meant: write \"6.25 %\""));
  EXPECT_THAT(fault_of(cured("nitrite = \"62.5 %\"\nnitrite_limit = \"home cure\"\n")),
              HasSubstr("is none"));
  EXPECT_THAT(fault_of(cured("nitrite = \"6.25 %\"\n")), HasSubstr("whose limit holds"));
}

TEST(CuringSalt, GoesIntoMeatBetweenTwoLimitsOfSaltAndStandsCold) {
  auto text = cured("nitrite = \"6.25 %\"\nnitrite_limit = \"home cure\"\n");
  const auto without = [&](const std::string& what, const std::string& instead = "") {
    std::string other = text;
    other.replace(other.find(what), what.size(), instead);
    return fault_of(other);
  };
  EXPECT_THAT(without("cold_chain = true\n"), HasSubstr("outside of the cold chain"));
  EXPECT_THAT(without("[[ratio]]\nof = \"salt\"\nper = \"meat and water\"\nmost = \"3 %\"\n"),
              HasSubstr("without a greatest share of salt"));
  EXPECT_THAT(without("counts_as = \"meat\"", "counts_as = \"other\""),
              HasSubstr("curing salt without meat"));
}

TEST(Meat, StandsInTheColdOrNotAtAll) {
  const std::string cold = "time = \"14 days\"\nmost = \"4 °C\"\ncold_chain = true\n";
  EXPECT_EQ(fault_of(loin(cold)), "none");
  EXPECT_EQ(fault_of(loin("time = \"14 days\"\nmost = \"5 °C\"\ncold_chain = true\n")), "none");
  for (const char* stand :
       {"time = \"14 days\"\nmost = \"20 °C\"\ncold_chain = true\n",
        "time = \"14 days\"\nleast = \"17 °C\"\nmost = \"24 °C\"\n", "time = \"14 days\"\n",
        "time = \"14 days\"\nmost = \"4 °C\"\ncold_chain = true\noutside = \"10 days\"\n",
        "time = \"14 days\"\nmost = \"4 °C\"\ncold_chain = true\nunmeasured = \"20 days\"\n"}) {
    EXPECT_THAT(fault_of(loin(stand)), HasSubstr("outside of the cold chain")) << stand;
  }
  EXPECT_THAT(fault_of(loin(cold) + "[[operation]]\nkind = \"cool\"\ntime = \"14 days\"\n"
                                    "text = \"On the worktop.\"\n"),
              HasSubstr("without a cold chain"));
}

TEST(Meat, IsNotForTheShelf) {
  std::string text = loin("time = \"1 day\"\nmost = \"4 °C\"\ncold_chain = true\n");
  text.replace(text.find("\"refrigerator\""), 14, "\"shelf\"");
  EXPECT_THAT(fault_of(text), HasSubstr("pressure canner"));
}

TEST(CuringSalt, NothingElseStandsInForItsSalt) {
  auto text = cured("nitrite = \"6.25 %\"\nnitrite_limit = \"home cure\"\n");
  for (auto at = text.find("of = \"salt\""); at != std::string::npos;
       at = text.find("of = \"salt\"", at)) {
    text.replace(at, 11, "of = \"salt and water\"");
  }
  EXPECT_THAT(fault_of(text), HasSubstr("share of salt"));
}

}  // namespace
}  // namespace maslin::formula
