// A formula is read whole, and every fault in it is named with its place and what to write.
#include "daemon/formula/read.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

namespace maslin::formula {
namespace {

using testing::AllOf;
using testing::HasSubstr;

constexpr std::string_view kGood = R"(name = "Pier relish"
status = "own"
keeping = "refrigerator"
largest_multiple = 2

[[ingredient]]
name = "onion"
amount = "2 cups"
form = "chopped"
counts_as = "low-acid food"
lead = true
band = "5 %"

[[ingredient]]
name = "cider vinegar"
amount = "1 1/2 cups"
counts_as = "acid"
below = "3 %"
above = "20 g"

[[ratio]]
of = "acid"
per = "low-acid food"
least = "0.8"

[[operation]]
kind = "weigh"

[[operation]]
kind = "heat"
until = "boil"

[[operation]]
kind = "dwell"
time = "10 min"
while = "boiling"
)";

// kGood with one piece of it exchanged.
std::string with(std::string_view from, std::string_view to) {
  std::string text(kGood);
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

// All faults of a text, one a line.
std::string faults(std::string_view text) {
  const auto answer = read(text, "pier.toml");
  if (answer) return "";
  std::string all;
  for (const proto::Trouble& trouble : answer.error()) {
    EXPECT_FALSE(trouble.where.empty());
    EXPECT_FALSE(trouble.todo.empty()) << trouble.what;
    all += trouble.where + ": " + trouble.what + "; " + trouble.todo + "\n";
  }
  return all;
}

TEST(Read, ResolvesAmountsBandsAndRatios) {
  const Formula formula = read(kGood, "pier.toml").value();
  EXPECT_EQ(formula.name, "Pier relish");
  EXPECT_FALSE(formula.tested);
  EXPECT_EQ(formula.keeping, Keeping::refrigerator);
  ASSERT_EQ(formula.ingredients.size(), 2U);
  const Ingredient& onion = formula.ingredients[0];
  EXPECT_EQ(onion.mass_ug, 320'000'000);
  EXPECT_EQ(onion.mass_source, "USDA SR 11282, cup, chopped");
  EXPECT_EQ(onion.below_ug, 16'000'000);
  EXPECT_EQ(formula.lead(), &onion);
  const Ingredient& vinegar = formula.ingredients[1];
  EXPECT_EQ(vinegar.mass_ug, 358'500'000);
  EXPECT_EQ(vinegar.below_ug, 10'755'000);
  EXPECT_EQ(vinegar.above_ug, 20'000'000);
  ASSERT_EQ(formula.ratios.size(), 1U);
  EXPECT_TRUE(formula.ratios[0].least);
  EXPECT_EQ(formula.ratios[0].limit_ppm, 800'000);
}

TEST(Read, LetsAWeighStepWithoutNamesWeighAll) {
  const Formula formula = read(kGood, "pier.toml").value();
  EXPECT_THAT(formula.operations[0].ingredients, testing::ElementsAre("onion", "cider vinegar"));
  EXPECT_EQ(formula.operations[2].duration_ms, 600'000);
  EXPECT_EQ(formula.operations[2].until, Until::boil);
}

TEST(Read, PrefersTheFormulasOwnValues) {
  const Formula formula =
      read(with("form = \"chopped\"", "weighs = \"1 cup = 150 g\""), "pier.toml").value();
  EXPECT_EQ(formula.ingredients[0].mass_ug, 300'000'000);
  EXPECT_EQ(formula.ingredients[0].mass_source, "the formula");
}

TEST(Read, CountsAMetricCupAsOne) {
  const Formula formula = read("cup = \"metric\"\n" + std::string(kGood), "pier.toml").value();
  // 1 1/2 cups of 250 mL, by the 239 g of a cup of 236.5882365 mL.
  EXPECT_EQ(formula.ingredients[1].mass_ug, 378'822'723);
}

TEST(Read, RoundsALimitToTheSafeSide) {
  EXPECT_EQ(read(with("\"0.8\"", "\"1/3\""), "f").value().ratios[0].limit_ppm, 333'334);
  EXPECT_EQ(read(with("least = \"0.8\"", "most = \"4/3\""), "f").value().ratios[0].limit_ppm,
            1'333'333);
  EXPECT_EQ(read(with("\"0.8\"", "0.8"), "f").value().ratios[0].limit_ppm, 800'000);
}

TEST(Read, NamesEveryFaultAtOnce) {
  std::string text = with("status = \"own\"", "status = \"mine\"");
  text.replace(text.find("2 cups"), 6, "0 cups");
  text.replace(text.find("10 min"), 6, "10 mins");
  const std::string all = faults(text);
  EXPECT_THAT(all, AllOf(HasSubstr("pier.toml:2:10: "), HasSubstr("pier.toml:8:10: the amount"),
                         HasSubstr("pier.toml:35:8: the time \"10 mins\" is none")));
}

struct Fault {
  std::string_view from;
  std::string_view to;
  std::string_view place;
  std::string_view what;
  std::string_view todo;
};

TEST(Read, SaysWhatIsWrongWhereAndWhatToWrite) {
  const Fault table[] = {
      {"2 cups", "2 mugs", ":8:10: ", "\"mugs\" is no measure", "tsp, tbsp"},
      {"2 cups", "-2 cups", ":8:10: ", "below zero", "above zero"},
      {"2 cups", "0 cups", ":8:10: ", "is zero", "above zero"},
      {"form = \"chopped\"\n", "", ":8:10: ", "what 1 cup of onion weighs is not known",
       "\"chopped\""},
      {"name = \"onion\"", "name = \"fennel\"", ":8:10: ", "1 cup of fennel weighs is not known",
       "weighs = \"1 cup = ... g\""},
      {"name = \"cider vinegar\"", "name = \"onion\"", ":14:1: ", "stands in the formula twice",
       "a name of its own"},
      {"lead = true", "laed = true", ":11:1: ", "no key \"laed\"", "write \"lead\""},
      {"keeping = ", "keepin = ", ":3:1: ", "no key \"keepin\"", "write \"keeping\""},
      {"band = \"5 %\"", "band = \"120 %\"", ":12:8: ", "wider than the amount", "at most"},
      {"band = \"5 %\"", "band = \"0 %\"", ":12:8: ", "has no width", "how far off"},
      {"band = \"5 %\"", "band = 5", ":12:8: ", "\"band\" is a whole number", "a text in quotes"},
      {"band = \"5 %\"\n", "", ":6:1: ", "has no \"below\"", "write band = \"5 %\""},
      {"of = \"acid\"", "of = \"pectin\"", ":21:1: ", "no ingredient counts as \"pectin\"",
       "counts_as = \"pectin\""},
      {"of = \"acid\"", "of = \"acit\"", ":22:6: ", "\"acit\" is not known", "write \"acid\""},
      {"\"0.8\"", "\"2\"", ":21:1: ", "the formula itself breaks this ratio", "at least 2"},
      {"\"0.8\"", "\"none\"", ":24:9: ", "the limit \"none\" is none", "parts per part"},
      {"[[operation]]\nkind = \"weigh\"\n", "", ":6:1: ", "no step weighs \"onion\"", "\"weigh\""},
      {"kind = \"weigh\"", "kind = \"weigh\"\ningredients = [\"cider vinegar\", \"onion\"]",
       ":28:16: ", "weighed before the lead", "lead first"},
      {"kind = \"weigh\"", "kind = \"weigh\"\ningredients = [\"onoin\", \"cider vinegar\"]",
       ":28:16: ", "no ingredient \"onoin\"", "write \"onion\""},
      {"kind = \"heat\"\nuntil = \"boil\"", "kind = \"fill\"",
       ":32:1: ", "nothing brings the pan to the boil", "before it"},
      {"keeping = \"refrigerator\"", "keeping = \"shelf\"", ":3:11: ", "not for the shelf",
       "\"refrigerator\""},
      {"status = \"own\"", "status = \"tested\"", ":2:10: ", "without a source", "source = "},
      {"largest_multiple = 2", "largest_multiple = nan", ":4:20: ", "out of range", "from 1 to 20"},
      {"largest_multiple = 2", "largest_multiple = \"2\"", ":4:20: ", "is a text in quotes",
       "a number"},
      {"name = \"onion\"", "name = \"onion\\u001b[2J\"", ":7:8: ", "control character",
       "plain text"},
      {"name = \"Pier relish\"", "name = \"\"", ":1:8: ", "\"name\" is empty", "its value"},
      {"counts_as = \"acid\"", "counts_as = \"acid\"\nbasis = \"bought\"",
       ":22:1: ", "which is given as bought", "prepared"},
      {"lead = true", "lead = true\nbasis = \"bought\"", ":6:1: ", "the lead is given as bought",
       "prepared amount"},
      {"kind = \"weigh\"", "kind = \"weigh\"\ntime = \"1 min\"", ":28:8: ", "means nothing",
       "dwell, cool"},
      {"kind = \"heat\"", "kind = \"heat\"\ningredients = [\"onion\", \"onion\"]",
       ":31:25: ", "\"onion\" is named twice in this operation", "once"},
      {"2 cups", "1,5 cups", ":8:10: ", "has a comma in its number", "write 1.5"},
      {"2 cups", "12345678901234567890 cups", ":8:10: ", "is too long", "nine digits"},
      {"[[operation]]\nkind = \"weigh\"", "[[operation]]\nkind = \"water bath\"",
       ":26:1: ", "no times", "rows ="},
  };
  for (const Fault& fault : table) {
    SCOPED_TRACE(std::string(fault.to));
    const std::string all = faults(with(fault.from, fault.to));
    EXPECT_THAT(all, AllOf(HasSubstr(std::string("pier.toml") + std::string(fault.place)),
                           HasSubstr(std::string(fault.what)), HasSubstr(std::string(fault.todo))));
  }
}

// A drying formula, read with one operation in the place of its drying.
std::string dried_by(const std::string& dry, const std::string& after = "") {
  return faults(with("[[operation]]\nkind = \"heat\"\nuntil = \"boil\"",
                     "[[operation]]\nkind = \"dry\"\n" + dry + after +
                         "\n[[operation]]\nkind = \"heat\"\nuntil = \"boil\""));
}

TEST(Read, ADryingSaysUntilWhatAndForHowLongAtMost) {
  EXPECT_EQ(dried_by("until = \"loss\"\nloss = \"70 %\"\nlongest = \"36 h\""), "");
  EXPECT_EQ(dried_by("until = \"water\"\nwater = \"85.56 %\"\nto = \"20 %\"\nlongest = \"2 days\"",
                     "\n[[operation]]\nkind = \"condition\"\ntime = \"7 days\""),
            "");
  EXPECT_THAT(dried_by("until = \"loss\"\nloss = \"70 %\""), HasSubstr("write longest"));
  EXPECT_THAT(dried_by("until = \"boil\"\nlongest = \"36 h\""), HasSubstr("\"boil\" is not known"));
  EXPECT_THAT(dried_by("until = \"loss\"\nloss = \"120 %\"\nlongest = \"36 h\""),
              HasSubstr("the share \"120 %\" is none"));
  EXPECT_THAT(dried_by("until = \"water\"\nwater = \"20 %\"\nto = \"85 %\"\nlongest = \"36 h\""),
              HasSubstr("less water, not to more"));
  EXPECT_THAT(dried_by("until = \"loss\"\nloss = \"70 %\"\nto = \"20 %\"\nlongest = \"36 h\""),
              HasSubstr("\"to\" means nothing"));
  EXPECT_THAT(faults(with("kind = \"weigh\"",
                          "kind = \"weigh\"\n\n[[operation]]\nkind = "
                          "\"condition\"\ntime = \"7 days\"")),
              HasSubstr("nothing is dried before"));
}

TEST(Read, WhatIsLeftOfWhatDriesFollowsFromItsWater) {
  const auto text =
      with("[[operation]]\nkind = \"heat\"\nuntil = \"boil\"",
           "[[operation]]\nkind = \"dry\"\nuntil = \"water\"\nwater = \"85.56 %\"\nto "
           "= \"20 %\"\nlongest = \"36 h\"\n\n[[operation]]\nkind = \"heat\"\nuntil = "
           "\"boil\"");
  const auto formula = read(text, "f").value();
  // 1000 g of apple become 180.5 g: tests/reference, drying_yield.csv.
  EXPECT_EQ(formula.operations[1].left_ppm, 180'500);
  EXPECT_EQ(formula.operations[1].water_ppm, 855'600);
}

TEST(Read, HidesNoFaultBehindAnother) {
  std::string text = with("counts_as = \"acid\"\nbelow = \"3 %\"\nabove = \"20 g\"",
                          "counts_as = \"sweet\"\nband = \"5\"");
  EXPECT_THAT(faults(text),
              AllOf(HasSubstr("\"sweet\" is not known"), HasSubstr("the band \"5\" is none")));
  text = with("2 cups", "-2 cups");
  text.replace(text.find("\"5 %\""), 5, "\"150 %\"");
  EXPECT_THAT(faults(text), AllOf(HasSubstr("below zero"), HasSubstr("wider than the amount;")));
}

TEST(Read, TellsNoFaultTwiceNorOneThatOnlyFollowsFromAnother) {
  const auto times = [](const std::string& all, std::string_view what) {
    int count = 0;
    for (std::size_t at = 0; (at = all.find(what, at)) != std::string::npos; ++at) ++count;
    return count;
  };
  const std::string twice = faults(with("name = \"cider vinegar\"", "name = \"onion\""));
  EXPECT_EQ(times(twice, "stands in the formula twice"), 1);
  EXPECT_EQ(times(twice, "no step weighs"), 0) << twice;
  std::string unweighed = with("name = \"cider vinegar\"", "name = \"onion\"");
  const std::string_view step = "[[operation]]\nkind = \"weigh\"\n";
  unweighed.erase(unweighed.find(step), step.size());
  EXPECT_EQ(times(faults(unweighed), "no step weighs"), 1);
  EXPECT_EQ(times(faults(with("kind = \"weigh\"", "kind = \"wegh\"")), "no step weighs"), 0);
  const std::string misspelt = faults(
      with("kind = \"weigh\"", "kind = \"weigh\"\ningredients = [\"onoin\", \"cider vinegar\"]"));
  EXPECT_EQ(times(misspelt, "no step weighs"), 0) << misspelt;
}

TEST(Read, StopsAtAFaultOfTheSyntax) {
  EXPECT_THAT(faults("name = \"Pier\nstatus = 1\n"), HasSubstr("pier.toml:1:"));
  EXPECT_THAT(faults("name = \"a\"\nname = \"b\"\n"), HasSubstr("pier.toml:2:"));
  EXPECT_THAT(faults(""), HasSubstr("has no \"name\""));
}

TEST(Read, RefusesWhatIsNoText) {
  EXPECT_THAT(faults("name = \"caf\xe9\"\n"), HasSubstr("pier.toml:1:12: the text is not UTF-8"));
  EXPECT_THAT(faults("name = \"\xed\xa0\x80\"\n"), HasSubstr("not UTF-8"));
  EXPECT_THAT(faults("name = \"\xc0\xaf\"\n"), HasSubstr("not UTF-8"));
  EXPECT_THAT(faults("name = \"\xf0\x9f"), HasSubstr("not UTF-8"));
  EXPECT_THAT(faults(std::string("name = \"a\0b\"", 12)), HasSubstr("pier.toml:1:"));
}

TEST(Read, TakesAnEndByWeightALossThatBeginsAgainAndALongestBoil) {
  const Formula formula =
      read("longest_boil = \"30 min\"\n" +
               with("until = \"boil\"\n\n[[operation]]\nkind = \"dwell\"\ntime = \"10 min\"\n",
                    "until = \"boil\"\n\n[[operation]]\nkind = \"heat\"\nuntil = \"weight\"\n"
                    "weight = \"900 g\"\n\n[[operation]]\nkind = \"heat\"\nuntil = \"boil\"\n\n"
                    "[[operation]]\nkind = \"dwell\"\ntime = \"10 min\"\nwhen_lost = \"begin "
                    "again\"\n"),
           "pier.toml")
          .value();
  EXPECT_EQ(formula.longest_boil_ms, 30 * 60'000);
  EXPECT_EQ(formula.operations[2].target_ug, 900'000'000);
  EXPECT_TRUE(formula.operations[4].begins_again);
}

TEST(Read, RefusesAJarThatIsNone) {
  const auto read_jar = read("jars = 3\njar = \"a cup\"\n" + std::string(kGood), "pier.toml");
  ASSERT_FALSE(read_jar.has_value());
  EXPECT_THAT(read_jar.error().front().what, HasSubstr("is no size of a jar"));
  EXPECT_NEAR(read("jars = 3\njar = \"1/2 pint\"\n" + std::string(kGood), "f")->jars.ml, 236.588,
              0.001);
}

// NIST Handbook 44, appendix C: a US liquid pint is 473.176473 mL.
TEST(Read, TakesJarsByTheNamesOfAHousehold) {
  for (const auto& [name, ml] :
       std::vector<std::pair<const char*, double>>{{"half-pint", 236.588},
                                                   {"Half pint jars", 236.588},
                                                   {"a pint", 473.176},
                                                   {"pints", 473.176},
                                                   {"quart", 946.353},
                                                   {"quarter-pint", 118.294}}) {
    const auto found = jar_ml(name, quantity::Cups::metric);
    ASSERT_TRUE(found) << name;
    EXPECT_NEAR(*found, ml, 0.001) << name;
  }
  EXPECT_FALSE(jar_ml("half", quantity::Cups::us_customary));
}

TEST(Read, RefusesTenMegabytesAndDeepNesting) {
  EXPECT_THAT(faults(std::string(10'000'000, 'a')), HasSubstr("10000000 bytes long"));
  EXPECT_THAT(faults("a = " + std::string(100'000, '[')), HasSubstr("pier.toml:1:"));
  std::string name = "a";
  for (int i = 0; i < 60'000; ++i) name += ".a";
  EXPECT_THAT(faults(name + " = 1\n"), HasSubstr("more than 32 parts"));
  EXPECT_THAT(faults("[" + name + "]\n"), HasSubstr("more than 32 parts"));
  EXPECT_THAT(faults("a = [[[[[[[[[[1]]]]]]]]]]\n"), HasSubstr("nests deeper"));
}

TEST(Read, SurvivesEveryCutOfAGoodText) {
  for (std::size_t length = 0; length < kGood.size(); ++length) {
    const auto answer = read(kGood.substr(0, length), "pier.toml");
    if (!answer) {
      EXPECT_FALSE(answer.error().empty());
    }
  }
}

TEST(Read, SurvivesBytesThatAreWrong) {
  std::minstd_rand random(11);
  for (int i = 0; i < 2000; ++i) {
    std::string text(kGood);
    for (int j = 0; j < 3; ++j) text[random() % text.size()] = static_cast<char>(random() % 256);
    const auto answer = read(text, "pier.toml");
    if (answer) continue;
    for (const proto::Trouble& trouble : answer.error()) EXPECT_FALSE(trouble.what.empty());
  }
}

// The page that documents the format must not promise what is not read.
TEST(Readme, HasAnExampleThatIsRead) {
  std::stringstream page;
  page << std::ifstream(MASLIN_SOURCE_DIR "/daemon/formula/README.md").rdbuf();
  const std::string text = page.str();
  const std::size_t from = text.find("```toml\n") + 8;
  const std::string example = text.substr(from, text.find("```", from) - from);
  const auto formula = read(example, "README.md");
  ASSERT_TRUE(formula.has_value()) << faults(example);
  EXPECT_EQ(formula->find("onion")->below_ug, 16'000'000);
  EXPECT_EQ(formula->find("cider vinegar")->mass_ug, 358'500'000);
}

TEST(Shipped, FormulasAreReadAndSayThatTheyAreInventedOrWrittenDownFromMemory) {
  int count = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(MASLIN_SOURCE_DIR "/daemon/formula/shipped")) {
    if (entry.path().extension() != ".toml") continue;
    SCOPED_TRACE(entry.path().filename().string());
    std::stringstream text;
    text << std::ifstream(entry.path()).rdbuf();
    const auto formula = read(text.str(), entry.path().filename().string());
    ASSERT_TRUE(formula.has_value()) << faults(text.str());
    EXPECT_FALSE(formula->tested);
    EXPECT_NE(formula->keeping, Keeping::shelf);
    if (entry.path().filename().string().starts_with("remake-")) {
      EXPECT_THAT(formula->note, AllOf(HasSubstr("from memory"), HasSubstr("check its figures")));
    } else {
      EXPECT_TRUE(formula->invented);
      EXPECT_THAT(formula->note, HasSubstr("Not tested for safety"));
    }
    ++count;
  }
  EXPECT_GE(count, 12);
}

}  // namespace
}  // namespace maslin::formula
