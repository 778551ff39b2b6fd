// The figure of the smallest larger batch: a formula's file and what is in.
#include <gmock/gmock.h>

#include "daemon/figures/figures.hpp"

namespace maslin::figures {
namespace {

using testing::HasSubstr;

constexpr const char* kJelly = R"(name = "Test jelly"
status = "own"
keeping = "refrigerator"
largest_multiple = 1.5

[[ingredient]]
name = "peppers"
amount = "150 g"
counts_as = "low-acid food"
lead = true
band = "5 %"

[[ingredient]]
name = "vinegar"
amount = "350 g"
counts_as = "acid"
band = "5 %"

[[ingredient]]
name = "sugar"
amount = "900 g"
counts_as = "sugar"
band = "3 %"

[[ingredient]]
name = "pectin"
amount = "50 g"
counts_as = "pectin"
band = "5 %"

[[ratio]]
of = "acid"
per = "low-acid food"
least = "2"

[[operation]]
kind = "weigh"
)";

template <class T>
T value(const Figure& figure, std::string_view name) {
  for (const Field& field : figure.fields) {
    if (field.name == name) return std::get<T>(field.value);
  }
  ADD_FAILURE() << "no field " << name;
  return {};
}

proto::Results<Figure> asked(std::vector<Given> more) {
  more.insert(more.begin(), {"formula", kJelly, "jelly.toml"});
  return figure("rescue", std::move(more));
}

// The first and sixth row of tests/reference/data/rescue.csv.
TEST(FigureRescue, SaysTheFactorAndWhatToAdd) {
  const auto found =
      asked({{"in", "peppers=150 g", ""}, {"in", "vinegar=385", ""}, {"stock", "peppers=0", ""}});
  ASSERT_TRUE(found) << proto::line(found.error().front());
  EXPECT_TRUE(value<bool>(*found, "feasible"));
  EXPECT_NEAR(value<double>(*found, "factor"), 22.0 / 21, 1e-9);
  EXPECT_EQ(value<std::string>(*found, "blocked_by"), "");
  const auto top_ups = value<std::vector<Record>>(*found, "top_ups");
  ASSERT_EQ(top_ups.size(), 4u);
  EXPECT_NEAR(std::get<double>(top_ups[2][1].value), 942.857143, 1e-6);
  EXPECT_EQ(found->beyond, "");
  EXPECT_THAT(to_text(*found), HasSubstr("sugar: 942.86 g more"));
}

TEST(FigureRescue, NamesWhatBlocksIt) {
  const auto found =
      asked({{"in", "peppers=150", ""}, {"in", "vinegar=400", ""}, {"stock", "peppers=0", ""}});
  ASSERT_TRUE(found);
  EXPECT_FALSE(value<bool>(*found, "feasible"));
  EXPECT_EQ(value<std::string>(*found, "blocked_by"), "stock peppers");
  EXPECT_TRUE(value<std::vector<Record>>(*found, "top_ups").empty());
  // One of two in a ratio's group.
  const auto two = figure(
      "rescue", {{"formula",
                  std::string(kJelly).replace(
                      std::string(kJelly).find("[[ratio]]"), 9,
                      "[[ingredient]]\nname = \"onion\"\namount = \"20 g\"\ncounts_as = \"low-acid "
                      "food\"\nband = \"5 %\"\n[[ratio]]"),
                  "jelly.toml"},
                 {"in", "peppers=150", ""},
                 {"in", "vinegar=420", ""},
                 {"stock", "peppers=0", ""}});
  ASSERT_TRUE(two);
  EXPECT_EQ(value<std::string>(*two, "blocked_by"), "stock peppers");
  const auto large = asked({{"in", "sugar=1.5 kg", ""}});
  ASSERT_TRUE(large);
  EXPECT_EQ(value<std::string>(*large, "blocked_by"), "largest multiple");
}

TEST(FigureRescue, EveryFaultOfItsOptionsIsNamed) {
  const auto wrong =
      asked({{"in", "viniger=385", ""}, {"in", "sugar", ""}, {"stock", "pectin=x", ""}});
  ASSERT_FALSE(wrong);
  ASSERT_EQ(wrong.error().size(), 3u);
  EXPECT_THAT(wrong.error()[0].todo, HasSubstr("did you mean \"vinegar\"?"));
  const auto formula = figure("rescue", {{"formula", "name = 3", "x.toml"}, {"in", "a=1", ""}});
  EXPECT_FALSE(formula);
}

}  // namespace
}  // namespace maslin::figures
