// What a scenario file may say, and that nothing misspelt passes for a good evening.
#include "plugins/kitchen/scenario.hpp"

#include <gtest/gtest.h>

namespace maslin::kitchen {
namespace {

std::string trouble_of(const std::string& text) { return read_scenario(text, "f.toml").trouble; }

TEST(Scenario, AKeyThatIsNotKnownIsNamedWithItsPlace) {
  EXPECT_EQ(trouble_of("colour = 1\n"), "f.toml:1:10: unknown key 'colour'");
  EXPECT_EQ(trouble_of("[canner]\nwater = 9\n"), "f.toml:2:9: unknown key 'water'");
}

TEST(Scenario, AKeyThatIsNotKnownInAListIsNamedWithItsPlaceToo) {
  EXPECT_EQ(trouble_of("[[ingredient]]\nname = \"onion\"\n[[ingredient]]\nflow = 1\n"),
            "f.toml:4:8: unknown key 'flow'");
  EXPECT_EQ(trouble_of("[[slip]]\nlate = 1\n"), "f.toml:2:8: unknown key 'late'");
  EXPECT_EQ(trouble_of("[[answer]]\ndoes = \"press\"\nsays = \"x\"\n"),
            "f.toml:3:8: unknown key 'says'");
  EXPECT_EQ(trouble_of("fault = [{at_g = 3, with = 1}]\n"), "f.toml:1:28: unknown key 'with'");
  EXPECT_EQ(trouble_of("[[trouble]]\nwhat = \"burner out\"\nfor = 3\n"),
            "f.toml:3:7: unknown key 'for'");
}

TEST(Scenario, WhatIsNoTableWhereOneMustStandIsNamed) {
  EXPECT_EQ(trouble_of("answer = [1, 2]\n"), "f.toml:1:11: write [[answer]]");
  EXPECT_EQ(trouble_of("slip = 3\n"), "f.toml:1:8: write [[slip]]");
  EXPECT_EQ(trouble_of("scale = 3\n"), "f.toml:1:9: write [scale]");
  EXPECT_EQ(trouble_of("[[canner]]\nwater_l = 9\n"), "f.toml:1:1: write [canner]");
}

TEST(Scenario, AWordThatIsNotKnownIsAnsweredWithThoseThatAre) {
  EXPECT_EQ(
      trouble_of("[[answer]]\ndoes = \"jump\"\n"),
      "f.toml:2:8: does is one of: vessel, heat, press, press_scale, look, canner, jars, off, "
      "canner_off, nothing");
  EXPECT_EQ(trouble_of("[[answer]]\nhears = \"Stir\"\n"), "f.toml:1:1: an answer needs does");
  EXPECT_EQ(trouble_of("[[trouble]]\nwhat = \"flood\"\n"),
            "f.toml:2:8: what is one of: burner out, lid lifted, probe out, spoon on scale");
  EXPECT_EQ(trouble_of("[jars]\nunsealed = [0]\n"),
            "f.toml:2:13: unsealed holds whole numbers from 1 to 1000");
  EXPECT_EQ(trouble_of("[canner_probe]\nlag_s = \"long\"\n"),
            "f.toml:2:9: lag_s must be a number from 0.1 to 3600");
}

TEST(Scenario, OnlyAKitchenThatNamesACannerHasOne) {
  EXPECT_FALSE(read_scenario("[pot]\nroom_c = 18\n", "f.toml").scenario.canner);
  const auto read = read_scenario(
      "[canner]\nwater_l = 7\nstart_c = 45\n[pot]\nroom_c = 18\n[jars]\nunsealed = [3]\n",
      "f.toml");
  EXPECT_EQ(read.trouble, "");
  ASSERT_TRUE(read.scenario.canner);
  EXPECT_DOUBLE_EQ(read.scenario.canner->water_g, 7000);
  EXPECT_DOUBLE_EQ(read.scenario.canner->start_c, 45);
  EXPECT_DOUBLE_EQ(read.scenario.canner->pot.room_c, 18);
  EXPECT_EQ(read.scenario.unsealed, std::vector<int>{3});
}

TEST(Scenario, AnAnswerIsForAStepUnlessItNamesAnotherCue) {
  const auto read = read_scenario(
      "[[answer]]\nhears = \"Stir\"\ndoes = \"nothing\"\n"
      "[[answer]]\ncue = \"boil_asked\"\ndoes = \"look\"\nafter_s = 3\n",
      "f.toml");
  EXPECT_EQ(read.trouble, "");
  ASSERT_EQ(read.scenario.answers.size(), 2u);
  EXPECT_EQ(read.scenario.answers[0].cue, "step");
  EXPECT_EQ(read.scenario.answers[1].cue, "boil_asked");
  EXPECT_EQ(read.scenario.answers[1].does, Does::look);
}

}  // namespace
}  // namespace maslin::kitchen
