// What dries: the bounds of its place, pieces that hang, meat in the cold or in a hot drier; how
// long it keeps.
#include <gmock/gmock.h>

#include "daemon/formula/read.hpp"

namespace maslin::formula {
namespace {

using testing::HasSubstr;

std::string drying(const std::string& counts_as, const std::string& dry,
                   const std::string& head = {}) {
  return "name = \"Pier strips\"\nstatus = \"own\"\nkeeping = \"refrigerator\"\n" + head +
         "[[ingredient]]\nname = \"strips\"\namount = \"1 kg\"\ncounts_as = \"" + counts_as +
         "\"\nband = \"5 %\"\n[[operation]]\nkind = \"weigh\"\n[[operation]]\nkind = \"dry\"\n"
         "until = \"loss\"\nloss = \"30 %\"\nlongest = \"20 days\"\n" +
         dry;
}

constexpr double day_ms = 86'400'000;

std::string fault_of(const std::string& text) {
  const auto formula = read(text, "pier.toml");
  if (formula) return "none";
  std::string all;
  for (const auto& one : formula.error()) all += proto::line(one) + "\n";
  return all;
}

TEST(Dry, MayHaveBoundsOfItsPlace) {
  const auto formula = read(drying("other", "least = \"50 °C\"\nmost = \"65 °C\"\n"), "pier.toml");
  ASSERT_TRUE(formula.has_value()) << proto::line(formula.error().front());
  const auto& dry = formula->operations.back();
  EXPECT_EQ(dry.least_mk, 323'150);
  EXPECT_EQ(dry.most_mk, 338'150);
  EXPECT_EQ(dry.outside_ms, 2 * 3'600'000);
  EXPECT_EQ(dry.unmeasured_ms, 12 * 3'600'000);
  EXPECT_FALSE(dry.hung);
  EXPECT_EQ(fault_of(drying("other", "")), "none");
  EXPECT_THAT(fault_of(drying("other", "outside = \"1 h\"\n")), HasSubstr("no bounds"));
}

TEST(Dry, OfMeatIsInAColdChainOrHot) {
  EXPECT_THAT(fault_of(drying("meat", "")), HasSubstr("nothing says in what cold or heat"));
  EXPECT_THAT(fault_of(drying("meat", "least = \"18 °C\"\nmost = \"24 °C\"\n")),
              HasSubstr("nothing says in what cold or heat"));
  EXPECT_EQ(fault_of(drying("meat", "hung = true\nmost = \"4 °C\"\ncold_chain = true\n")), "none");
  EXPECT_EQ(fault_of(drying("meat", "least = \"54 °C\"\n")), "none");
  for (const char* lifted : {"outside", "unmeasured"}) {
    EXPECT_THAT(
        fault_of(drying("meat", "least = \"54 °C\"\n" + std::string(lifted) + " = \"30 days\"\n")),
        HasSubstr("outside at most 2 h, unmeasured at most 12 h"));
  }
}

TEST(Keeping, HowLongIsTheFormulasToSay) {
  const auto formula = read(drying("other", "", "good_for = \"90 days\"\n"), "pier.toml");
  ASSERT_TRUE(formula.has_value()) << proto::line(formula.error().front());
  EXPECT_EQ(formula->good_ms, 90 * 86'400'000LL);
  EXPECT_THAT(fault_of(drying("other", "", "good_for = \"soon\"\n")), HasSubstr("no time to keep"));
  EXPECT_THAT(fault_of(drying("other", "", "good_for = \"999 days\"\n")),
              HasSubstr("no time to keep"));
}

TEST(Ferment, EndsAtAPhThatCountsAsAcid) {
  const auto stands = [](const std::string& ph) {
    std::string text = drying("other", "");
    return text.substr(0, text.find("[[operation]]\nkind = \"dry\"")) +
           "[[operation]]\nkind = \"stand\"\ntime = \"9 days\"\nend_ph = " + ph + "\n";
  };
  EXPECT_EQ(fault_of(stands("4.2")), "none");
  EXPECT_THAT(fault_of(stands("5.0")), HasSubstr("no ferment ends at this pH"));
  EXPECT_THAT(fault_of(drying("other", "end_ph = 4.2\n")), HasSubstr("means nothing"));
  const auto longest = [&](const std::string& more) {
    const auto formula = read(stands("4.2\n" + more), "pier.toml");
    return formula ? static_cast<double>(formula->operations.back().longest_ms) / day_ms : -1.0;
  };
  EXPECT_EQ(longest(""), 13.5);
  EXPECT_EQ(longest("longest = \"12 days\"\n"), 12);
  EXPECT_THAT(fault_of(stands("4.2\nlongest = \"8 days\"\n")), HasSubstr("shorter than the time"));
  std::string no_ph = stands("4.2\nlongest = \"12 days\"\n");
  no_ph.erase(no_ph.find("end_ph = 4.2"), 12);
  EXPECT_THAT(fault_of(no_ph), HasSubstr("end_ph"));
}

}  // namespace
}  // namespace maslin::formula
