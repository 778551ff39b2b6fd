// The frame of the figures: options with units, faults, the two forms of an answer.
#include "daemon/figures/figures.hpp"

#include <gmock/gmock.h>

namespace maslin::figures {
namespace {

using testing::HasSubstr;
using testing::SizeIs;

std::string whats(const proto::Results<Figure>& answer) {
  if (answer) return "";
  std::string text;
  for (const proto::Trouble& one : answer.error()) text += proto::line(one) + "\n";
  return text;
}

double number(const Figure& figure, std::string_view name) {
  for (const Field& field : figure.fields) {
    if (field.name == name) return std::get<double>(field.value);
  }
  ADD_FAILURE() << "no field " << name;
  return 0;
}

// The options of a kind's example, as a shell would split them.
std::vector<Given> example(const Kind& kind) {
  std::vector<Given> given;
  std::string word;
  bool quoted = false;
  std::size_t bare = 0;
  const auto end_word = [&] {
    if (word.starts_with("--")) {
      given.push_back({word.substr(2), "", ""});
    } else if (word.empty()) {
      return;
    } else if (bare < kind.options.size() && kind.options[bare].bare) {
      given.push_back({kind.options[bare++].name, word, ""});
    } else {
      given.back().text = word;
    }
    word.clear();
  };
  for (const char c : kind.example) {
    if (c == '"')
      quoted = !quoted;
    else if (c == ' ' && !quoted)
      end_word();
    else
      word += c;
  }
  end_word();
  return given;
}

TEST(Figures, EveryExampleOfTheHelpGivesAValidAnswerWithItsSource) {
  for (const Kind& kind : kinds()) {
    SCOPED_TRACE(kind.name);
    const bool reads_a_file = std::any_of(kind.options.begin(), kind.options.end(),
                                          [](const OptionKind& option) { return option.file; });
    if (reads_a_file) continue;
    const auto answer = figure(kind.name, example(kind));
    ASSERT_TRUE(answer) << whats(answer);
    EXPECT_EQ(answer->beyond, "");
    for (const std::string& words :
         {answer->value, answer->accuracy, answer->range, answer->source}) {
      EXPECT_NE(words, "");
    }
    EXPECT_THAT(to_json(*answer), HasSubstr("\"valid\":true"));
  }
}

TEST(Figures, EveryRequiredOptionIsAskedForAndAnUnknownOneRefused) {
  for (const Kind& kind : kinds()) {
    SCOPED_TRACE(kind.name);
    const std::string missing = whats(figure(kind.name, {}));
    for (const OptionKind& option : kind.options) {
      if (option.need == OptionKind::optional || option.need == OptionKind::any_number) continue;
      EXPECT_THAT(missing, HasSubstr("--" + option.name + ": is missing"));
    }
    EXPECT_THAT(whats(figure(kind.name, {{"colour", "red", ""}})),
                HasSubstr("--colour: " + kind.name + " has no such option"));
  }
  EXPECT_THAT(whats(figure("horoscope", {})), HasSubstr("ask for one of: weighing"));
}

TEST(Figures, MassesMayBearAUnit) {
  const auto net = [](const std::string& tare, const std::string& gross) {
    const auto answer =
        figure("weighing", {{"tare", tare, ""}, {"gross", gross, ""}, {"interval", "1000 mg", ""}});
    EXPECT_TRUE(answer) << whats(answer);
    return answer ? number(*answer, "mass_g") : 0;
  };
  EXPECT_NEAR(net("412.6 g", "0.5626 kg"), 150.0, 1e-9);
  EXPECT_NEAR(net(" 0", "1 lb"), 453.59237, 1e-9);
  EXPECT_NEAR(net("-3", "+2"), 5.0, 1e-12);
}

TEST(Figures, AllFaultsAreNamedAtOnceWithWhatToWrite) {
  const auto answer = figure("weighing", {{"tare", "12,5", ""},
                                          {"gross", "1 cup", ""},
                                          {"interval", "0", ""},
                                          {"density", "1.59", ""},
                                          {"class", "V", ""},
                                          {"repeatability", "0.1:0.5", ""}});
  ASSERT_FALSE(answer);
  EXPECT_THAT(answer.error(), SizeIs(6));
  EXPECT_THAT(whats(answer), HasSubstr("--tare: \"12,5\" is not understood"));
  EXPECT_THAT(whats(answer), HasSubstr("--gross: \"1 cup\""));
  EXPECT_THAT(whats(answer), HasSubstr("--interval: \"0\" is not above zero"));
  EXPECT_THAT(whats(answer), HasSubstr("1.59 g/mL"));
  EXPECT_THAT(whats(answer), HasSubstr("I, II, III or IIII"));
  EXPECT_THAT(whats(answer), HasSubstr("degrees of freedom below 1"));
  for (const char* text : {"nan", "inf", "1e999", "", "g", "--"}) {
    EXPECT_FALSE(figure("guard", {{"uncertainty", text, ""}, {"risk", "0.05", ""}})) << text;
  }
}

TEST(Figures, APhIsJudgedByTwoBuffersApartAndByNoLimitOverTheRegulations) {
  const auto asked = [](const char* high, const char* limit) {
    return whats(figure("ph", {{"ph", "3.9", ""},
                               {"low", "4.01=4.01", ""},
                               {"high", high, ""},
                               {"resolution", "0.01", ""},
                               {"temperature", "21 C", ""},
                               {"hours", "48", ""},
                               {"limit", limit, ""}}));
  };
  EXPECT_EQ(asked("7=7", "4.6"), "");
  EXPECT_THAT(asked("4.5=4.5", "4.6"), HasSubstr("two a pH or more apart"));
  EXPECT_THAT(asked("7=7", "5.5"), HasSubstr("over 4.6"));
}

TEST(Figures, AShareIsWrittenAsAShareOrInPercent) {
  const auto band = [](const std::string& risk) {
    const auto answer = figure("guard", {{"uncertainty", "1", ""}, {"risk", risk, ""}});
    return answer ? number(*answer, "guard_band_g") : -1;
  };
  EXPECT_DOUBLE_EQ(band("5 %"), band("0.05"));
  EXPECT_EQ(band("5"), -1);
  EXPECT_EQ(band("0"), -1);
}

TEST(Figures, WhatDoesNotHoldIsGivenAndMarked) {
  const auto beyond = [](const std::string& gross) {
    const auto answer = figure("weighing", {{"tare", "412.6", ""},
                                            {"gross", gross, ""},
                                            {"interval", "0.1", ""},
                                            {"class", "III", ""}});
    EXPECT_TRUE(answer);
    return answer ? answer->beyond : "";
  };
  EXPECT_EQ(beyond("900"), "");
  EXPECT_THAT(beyond("1200"), HasSubstr("ends at 1000 g"));
  EXPECT_THAT(beyond("400"), HasSubstr("not above the tare"));
}

TEST(Figures, AConformityNeedsALimitAndLimitsInOrder) {
  const Given value{"value", "5", ""};
  const Given u{"uncertainty", "1", ""};
  EXPECT_THAT(whats(figure("conformity", {value, u})), HasSubstr("no limit is given"));
  EXPECT_THAT(whats(figure("conformity", {value, u, {"lower", "6", ""}, {"upper", "4", ""}})),
              HasSubstr("is not below --upper"));
}

TEST(Figures, ACalibrationReadsItsIntervalOffTheDigitsUnlessItIsGiven) {
  const auto range = [](std::vector<Given> given) {
    const auto answer = figure("scale", std::move(given));
    EXPECT_TRUE(answer) << whats(answer);
    return answer ? answer->range : "";
  };
  EXPECT_THAT(range({{"load", "500=500.4", ""}}), HasSubstr("interval 0.1 g by the digits"));
  EXPECT_THAT(range({{"load", "500=500", ""}}), HasSubstr("interval 1 g by the digits"));
  EXPECT_THAT(range({{"load", "500=500", ""}, {"interval", "5", ""}}), HasSubstr("interval 5 g"));
  EXPECT_THAT(range({{"load", "0.5 kg=0.500 kg", ""}}), HasSubstr("interval 1 g by the digits"));
}

TEST(Figures, TheSameMassTwiceInACalibrationHasToRepeat) {
  const auto answer =
      figure("scale",
             {{"load", "1000:0.1=1000", ""}, {"load", "1000:0.1=1003", ""}, {"interval", "1", ""}});
  ASSERT_TRUE(answer) << whats(answer);
  EXPECT_THAT(answer->value, HasSubstr("did not show the same twice"));
}

TEST(Figures, ACalibrationWithWaterTakesMillilitresWhereWaterIsKnown) {
  const auto water = [](const std::string& celsius) {
    return figure("scale", {{"load", "1 L:0.46=1000", ""}, {"water", celsius, ""}});
  };
  const auto answer = water("20 C");
  ASSERT_TRUE(answer) << whats(answer);
  EXPECT_NEAR(number(*answer, "slope"), 1000.0 / 997.156, 1e-6);
  EXPECT_THAT(whats(water("95 C")), HasSubstr("outside 0 to 40 °C"));
  EXPECT_THAT(whats(water("20")), HasSubstr("write the unit too"));
  EXPECT_THAT(whats(figure("scale", {{"load", "1000", ""}})), HasSubstr("KNOWN=INDICATED"));
}

TEST(Figures, TheTestsOfAScaleSayWhatIsAllowed) {
  const auto corner = [](const std::string& last) {
    const auto answer = figure("corner", {{"load", "1500", ""},
                                          {"centre", "1500", ""},
                                          {"corner", "1501", ""},
                                          {"corner", "1499", ""},
                                          {"corner", "1500", ""},
                                          {"corner", last, ""},
                                          {"interval", "1", ""}});
    EXPECT_TRUE(answer) << whats(answer);
    return answer ? answer->value : "";
  };
  EXPECT_THAT(corner("1502"), HasSubstr("good: the farthest corner is 2 g off"));
  EXPECT_THAT(corner("1497"), HasSubstr("not good: the farthest corner is -3 g off"));
  const Given interval{"interval", "1", ""};
  const auto warm = figure(
      "warm-up",
      {{"level", "0=0:995", ""}, {"level", "10=2:1002", ""}, {"level", "30=2:1002", ""}, interval});
  ASSERT_TRUE(warm) << whats(warm);
  EXPECT_DOUBLE_EQ(number(*warm, "ready_after_min"), 10);
  EXPECT_THAT(whats(figure("warm-up", {{"level", "5", ""}, interval})), HasSubstr("EMPTY:LOADED"));
  EXPECT_THAT(whats(figure("warm-up", {{"level", "5=0:1", ""}, {"level", "4=0:1", ""}, interval})),
              HasSubstr("do not rise"));
}

TEST(Figure, JsonIsOneLineWithFieldsInOrderAndNullWithoutLimit) {
  const Figure figure{.fields = {{"mass_g", 1.5},
                                 {"dof", std::numeric_limits<double>::infinity()},
                                 {"accepted", false},
                                 {"reason", std::string("a \"word\"\n")},
                                 {"parts", std::vector<Record>{{{"name", std::string("one")}}, {}}},
                                 {"top_ups", Record{{"red pepper", 0.1}}}},
                      .value = "1.5 g",
                      .accuracy = "good",
                      .range = "here",
                      .lines = {"this"},
                      .source = "a table",
                      .beyond = "too far"};
  EXPECT_EQ(to_json(figure), R"({"mass_g":1.5,"dof":null,"accepted":false,"reason":"a \"word\"\n",)"
                             R"("parts":[{"name":"one"},{}],"top_ups":{"red pepper":0.1},)"
                             R"("accuracy":"good","range":"here","source":"a table","valid":false,)"
                             R"("beyond":"too far"})");
  EXPECT_EQ(to_text(figure),
            "1.5 g\nGood to: good\nMade of:\n  this\nHolds for: here\nSource: a table\n"
            "NOT VALID HERE: too far\n");
}

TEST(Figures, ANumberWithoutItsUnitIsRefusedWhereTwoUnitsAreUsual) {
  EXPECT_THAT(whats(figure("boiling", {{"altitude", "1500", ""}})),
              HasSubstr("write the unit too: \"640 m\""));
  EXPECT_THAT(whats(figure("boiling", {{"pressure", "1013", ""}})), HasSubstr("hPa"));
  EXPECT_THAT(whats(figure("solids", {{"boiling", "104", ""}, {"pressure", "1013 hPa", ""}})),
              HasSubstr("\"220 F\""));
}

TEST(Figures, UnitsOfHeatMeanTheSame) {
  const auto feet = figure("boiling", {{"altitude", "4000 ft", ""}});
  const auto metres = figure("boiling", {{"altitude", "1219.2 m", ""}});
  EXPECT_NEAR(number(*feet, "temperature_c"), number(*metres, "temperature_c"), 1e-9);
  const auto mercury = figure("boiling", {{"pressure", "29.9 inHg", ""}});
  EXPECT_NEAR(number(*mercury, "pressure_hpa"), 1012.53, 0.01);
  const auto fahrenheit =
      figure("solids", {{"boiling", "219.2 F", ""}, {"pressure", "1013 hPa", ""}});
  const auto celsius = figure("solids", {{"boiling", "104 C", ""}, {"pressure", "1013 hPa", ""}});
  EXPECT_NEAR(number(*fahrenheit, "solids_pct"), number(*celsius, "solids_pct"), 1e-9);
}

TEST(Figures, LethalityReadsRowsAndNamesTheOneThatIsNone) {
  const Given good{"csv", "t,F\n0,200\n10,200\n", "core.csv"};
  const auto answer = figure("lethality", {good, {"reference", "200 F", ""}, {"z", "16 F", ""}});
  ASSERT_TRUE(answer) << whats(answer);
  EXPECT_NEAR(number(*answer, "minutes"), 10, 1e-9);
  const Given bad{"csv", "0,200\nlater,200\n", "core.csv"};
  EXPECT_THAT(whats(figure("lethality", {bad, {"reference", "200 F", ""}, {"z", "16 F", ""}})),
              HasSubstr("core.csv:2"));
  const Given junk{"csv", "0, 200\n10,200 F\n", "core.csv"};
  EXPECT_THAT(whats(figure("lethality", {junk, {"reference", "200 F", ""}, {"z", "16 F", ""}})),
              HasSubstr("core.csv:2"));
  EXPECT_THAT(whats(figure("lethality", {good, {"reference", "200 F", ""}, {"z", "8.9 C", ""}})),
              HasSubstr("another unit"));
}

TEST(Figures, AKilogramOfMeatIsNotTakenForAGram) {
  EXPECT_THAT(
      whats(figure("cure", {{"meat", "1.2", ""}, {"salt-pct", "2.5", ""}, {"basis", "meat", ""}})),
      HasSubstr("write its unit: \"1.2 kg\""));
  const auto nitrite = [](const char* fraction) {
    return figure("nitrite", {{"cure", "2.4", ""},
                              {"nitrite-fraction", fraction, ""},
                              {"meat", "1 kg", ""},
                              {"product", "comminuted", ""}});
  };
  EXPECT_NEAR(number(*nitrite("6.25 %"), "ingoing_ppm"), 150, 1e-9);
  EXPECT_THAT(whats(nitrite("6.25")), HasSubstr("6.25 % is 0.0625"));
}

TEST(Figures, VinegarIsAskedForAsItsLabelSaysIt) {
  const auto strength = [](const char* text) {
    return figure("acidity", {{"strength", text, ""}});
  };
  EXPECT_NEAR(number(*strength("50 grain"), "mol_l"), number(*strength("5 %"), "mol_l"), 1e-12);
  EXPECT_NEAR(number(*strength("5"), "mol_l"), number(*strength("5 %"), "mol_l"), 1e-12);
  EXPECT_THAT(whats(strength("50")), HasSubstr("burns skin and eyes"));
  EXPECT_THAT(whats(strength("5 proof")), HasSubstr("50 grain"));
}

TEST(Figures, JarsAreCalledAsInAHousehold) {
  const auto minutes = [](const char* jar) {
    const auto answer =
        figure("water-bath",
               {{"product", "jelly or jam", ""}, {"jar", jar, ""}, {"altitude", "640 m", ""}});
    EXPECT_TRUE(answer) << whats(answer);
    return answer ? number(*answer, "minutes") : 0;
  };
  EXPECT_EQ(minutes("half-pint"), minutes("250 mL"));
  EXPECT_EQ(minutes("pint"), minutes("1/2 pint"));
}

TEST(Figures, ATroubleOfWhatIsDissolvedNamesItsOption) {
  EXPECT_THAT(whats(figure("water-activity", {{"salt", "60", ""}, {"water", "100", ""}})),
              testing::AllOf(HasSubstr("--salt: the salt is 37.5 %"), HasSubstr("26.395 %")));
  EXPECT_THAT(whats(figure("water-activity", {{"sucrose", "300", ""}, {"water", "100", ""}})),
              HasSubstr("--water: "));
}

TEST(Figures, ACureOfMeatAloneSaysThatTheWaterIsNotCounted) {
  const auto cure = [](const char* basis, std::vector<Given> more) {
    more.push_back({"meat", "1 kg", ""});
    more.push_back({"salt-pct", "2.5", ""});
    more.push_back({"basis", basis, ""});
    return figure("cure", more);
  };
  const auto beside = cure("meat", {{"water", "500", ""}});
  EXPECT_NEAR(number(*beside, "salt_g"), 25, 1e-9);
  EXPECT_THAT(beside->lines, testing::Contains(HasSubstr("500 g of water are NOT counted")));
  EXPECT_THAT(cure("meat", {})->lines, SizeIs(1));
  EXPECT_NEAR(number(*cure("meat-and-water", {{"water", "500", ""}}), "salt_g"), 37.5, 1e-9);
}

// Breidt et al. 2014, table 4: 158 °F 7.4 min, 159 °F 6.5 min.
TEST(Figures, AnAcidDwellIsTheCoolerRowAndNeverBeyondTheTable) {
  const auto dwell = [](const char* temperature, const char* ph) {
    return figure("acid-dwell", {{"temperature", temperature, ""}, {"ph", ph, ""}});
  };
  EXPECT_DOUBLE_EQ(number(*dwell("158 F", "4.3"), "minutes"), 7.4);
  EXPECT_DOUBLE_EQ(number(*dwell("158.9 F", "4.3"), "minutes"), 7.4);
  EXPECT_DOUBLE_EQ(number(*dwell("70.5 C", "4.6"), "minutes"), 7.4);
  EXPECT_DOUBLE_EQ(number(*dwell("70.6 C", "4.1"), "minutes"), 6.5);
  EXPECT_THAT(dwell("158 F", "4.3")->value, HasSubstr("FOR INFORMATION"));
  EXPECT_THAT(dwell("158 F", "4.3")->lines[0], HasSubstr("never takes the place"));
  EXPECT_THAT(whats(dwell("158", "4.3")), HasSubstr("write the unit too"));
  for (const char* outside : {"60.5 C", "82.3 C", "140 F", "181 F"}) {
    EXPECT_THAT(whats(dwell(outside, "4.3")), HasSubstr("60.6 to 82.2 °C")) << outside;
  }
  EXPECT_THAT(whats(dwell("158 F", "4.7")), HasSubstr("--ph: the table is of foods of pH 4.1 to"));
  EXPECT_FALSE(dwell("158 F", "4"));
}

// 21 CFR 150.140: 1000 g of juice of 12 % x 7.5 / 100 = 900 g of fruit; with 1100 g of sugar 45
// parts of 100.
TEST(Figures, AFruitJellyCountsJuiceByItsSolidsAndTheFactorOfTheFruit) {
  const auto jelly = [](const char* fruit, const char* sugar) {
    return figure("jelly-fruit", {{"fruit", fruit, ""},
                                  {"juice", "1 kg", ""},
                                  {"solids", "12 %", ""},
                                  {"sugar", sugar, ""}});
  };
  EXPECT_NEAR(number(*jelly("Apple", "1100"), "fruit_g"), 900, 1e-9);
  EXPECT_NEAR(number(*jelly("apple", "1100"), "fruit_parts"), 45, 1e-9);
  EXPECT_NEAR(number(*jelly("apple", "1000"), "juice_short_g"), 0, 1e-9);
  // 1210 g of sugar ask for 990 g of fruit, 100 g more of the same juice.
  EXPECT_NEAR(number(*jelly("apple", "1210"), "juice_short_g"), 100, 1e-9);
  EXPECT_THAT(jelly("apple", "1210")->value, HasSubstr("TOO LITTLE"));
  EXPECT_NEAR(number(*jelly("raspberry", "1000"), "factor"), 9.5, 1e-12) << "the red one";
  EXPECT_THAT(jelly("apple", "1000")->accuracy, HasSubstr("0.1 of 12 % is 0.8 % of the fruit"));
  EXPECT_THAT(jelly("apple", "1000")->lines, testing::Contains(HasSubstr("not checked here")));
  EXPECT_THAT(whats(jelly("jalapeno", "1000")), HasSubstr("the rule has no factor"));
}

TEST(Figures, AJarIsShortByMoreThanOnePackageMayBe) {
  const auto answer =
      figure("net-weight", {{"label", "250 g", ""}, {"net", "237.2", ""}, {"net", "263", ""}});
  ASSERT_TRUE(answer) << whats(answer);
  EXPECT_DOUBLE_EQ(number(*answer, "mav_g"), 12.7);
  EXPECT_DOUBLE_EQ(number(*answer, "short_count"), 1);
  EXPECT_THAT(answer->value, HasSubstr("NOT as labelled"));
  EXPECT_THAT(answer->accuracy, HasSubstr("FROM MEMORY"));
  const auto mean = figure("net-weight", {{"label", "250", ""}, {"net", "245", ""}});
  EXPECT_THAT(mean->value, HasSubstr("the mean of all jars may not lie below"));
  const auto good =
      figure("net-weight", {{"label", "250", ""}, {"net", "245", ""}, {"net", "256", ""}});
  EXPECT_THAT(good->value, HasSubstr("as labelled"));
  EXPECT_THAT(whats(figure("net-weight", {{"label", "250 g", ""}, {"net", "2510 g", ""}})),
              HasSubstr("2510 g is more than twice the 250 g of the label"));
  EXPECT_THAT(whats(figure("net-weight", {{"label", "2 kg", ""}})), HasSubstr("ends at 1120 g"));
}

TEST(Figures, APlatinumThermometerIsReadBothWays) {
  const auto boil = figure("platinum", {{"ohm", "138.5055", ""}});
  ASSERT_TRUE(boil) << whats(boil);
  EXPECT_NEAR(number(*boil, "temperature_c"), 100, 2e-4);
  EXPECT_NEAR(number(*figure("platinum", {{"temperature", "212 F", ""}}), "resistance_ohm"),
              138.5055, 5e-5);
  EXPECT_THAT(whats(figure("platinum", {{"ohm", "10", ""}})), HasSubstr("-200 to 850"));
  EXPECT_THAT(whats(figure("platinum", {})), HasSubstr("one of --ohm and --temperature"));
}

TEST(Figures, APlatinumThermometerHasNoClassBeyondItsRange) {
  const auto at = [](const char* temperature) {
    return *figure("platinum", {{"temperature", temperature, ""}});
  };
  EXPECT_THAT(at("450 C").accuracy, HasSubstr("of class A 1.05 K, of class B 2.55 K either way"));
  EXPECT_THAT(at("500 C").accuracy, HasSubstr("of class A none: its class ends before, of class B "
                                              "2.8 K"));
  EXPECT_THAT(to_json(at("500 C")), HasSubstr("\"class_a_c\":null,\"class_b_c\":2.8"));
  EXPECT_THAT(at("700 C").accuracy, testing::Not(HasSubstr(" K")));
}

TEST(Figures, NitriteIsOverByAnyPartOfAMillionthAboveItsLimit) {
  const auto asked = [](const char* cure) {
    return figure("nitrite", {{"cure", cure, ""},
                              {"nitrite-fraction", "0.0625", ""},
                              {"meat", "1 kg", ""},
                              {"product", "home cure", ""}});
  };
  EXPECT_THAT(asked("3.2")->value, HasSubstr("within"));
  EXPECT_THAT(asked("3.215")->value, HasSubstr("OVER the limit"));
}

}  // namespace
}  // namespace maslin::figures
