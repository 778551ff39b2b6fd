// The simulated kitchen by itself: the cook hears, and things follow nature.
#include "plugins/kitchen/world.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <tuple>

namespace maslin::kitchen {
namespace {

// A kitchen with all that it sends, and cues said to the cook.
class Kitchen final : public Sink {
 public:
  explicit Kitchen(const std::string& text) : world(scenario(text)) {}

  void say(const std::string& id, const std::string& words, const std::string& ingredient = "") {
    world.hear({now_ms, id, words, ingredient, 0});
  }
  void pass(double seconds) {
    now_ms += static_cast<std::int64_t>(seconds * 1000);
    world.advance(now_ms, *this);
  }
  void scale_reading(std::int64_t, std::int64_t intervals, bool) override {
    scale.push_back(intervals);
  }
  void scale_there(std::int64_t, bool) override {}
  void probe_reading(std::int64_t, std::int64_t tenths_c) override { pan.push_back(tenths_c); }
  void fine_reading(std::int64_t, std::int64_t, bool) override {}
  void room_reading(std::int64_t, std::int64_t) override {}
  void canner_reading(std::int64_t, std::int64_t tenths_c) override { canner.push_back(tenths_c); }
  void pedal(std::int64_t at_ms, std::int64_t) override { presses_ms.push_back(at_ms); }

  std::int64_t now_ms = 0;
  World world;
  std::vector<std::int64_t> scale, pan, canner, presses_ms;

 private:
  static Scenario scenario(const std::string& text) {
    const auto read = read_scenario(text, "kitchen.toml");
    EXPECT_EQ(read.trouble, "");
    return read.scenario;
  }
};

constexpr const char* with_canner =
    "[scale]\nsleep_s = 60\n"
    "[canner]\nwater_l = 2\npower_w = 2500\nboils_at_c = 99.8\nstart_c = 60\njars_c = 85\n"
    "[[answer]]\ncue = \"canner\"\ndoes = \"canner\"\nafter_s = 10\n"
    "[[answer]]\nhears = \"jars in\"\ndoes = \"jars\"\nafter_s = 20\n"
    "[[answer]]\ncue = \"boil_asked\"\ndoes = \"look\"\nafter_s = 3\n";

TEST(World, WithoutACannerNothingIsSentOfIt) {
  Kitchen kitchen("");
  kitchen.pass(60);
  EXPECT_TRUE(kitchen.canner.empty());
  EXPECT_EQ(kitchen.pan.size(), 61u);
  EXPECT_EQ(kitchen.scale.size(), 601u);
}

TEST(World, TheCannerIsFilledAndLitOnItsCueAndThePedalPressed) {
  Kitchen kitchen(with_canner);
  kitchen.pass(30);
  EXPECT_EQ(kitchen.world.canner(), nullptr);
  kitchen.say("canner", "Fill the canner.");
  kitchen.pass(12);
  ASSERT_EQ(kitchen.presses_ms.size(), 1u);
  EXPECT_GE(kitchen.presses_ms[0], 40'000);
  ASSERT_NE(kitchen.world.canner(), nullptr);
  const double begin_c = kitchen.world.canner()->temperature_c();
  kitchen.pass(60);
  EXPECT_GT(kitchen.world.canner()->temperature_c(), begin_c + 10);
}

TEST(World, WhoIsAskedForTheBoilLooksAndPressesOnlyWhenItBoils) {
  Kitchen kitchen(with_canner);
  kitchen.say("canner", "Fill the canner.");
  kitchen.pass(30);
  kitchen.say("boil_asked", "Does it boil hard?");
  while (kitchen.presses_ms.size() < 2 && kitchen.now_ms < 600'000) {
    const bool boiled = kitchen.world.canner()->boiling();
    kitchen.pass(1);
    EXPECT_TRUE(boiled || kitchen.presses_ms.size() == 1 || kitchen.world.canner()->boiling());
  }
  EXPECT_EQ(kitchen.presses_ms.size(), 2u);
}

TEST(World, ABurnerThatGoesOutIsLitAgainOnlyWhenTheCookHearsOfIt) {
  Kitchen kitchen(std::string(with_canner) +
                  "[[trouble]]\nwhat = \"burner out\"\nafter_s = 100\n"
                  "[cook]\nrelight_s = 10\n");
  kitchen.say("canner", "Fill the canner.");
  kitchen.pass(400);
  ASSERT_TRUE(kitchen.world.canner()->boiling());
  kitchen.say("boil", "The water bath counts: 10 min to go.");
  kitchen.pass(99);
  EXPECT_TRUE(kitchen.world.canner()->boiling());
  kitchen.pass(300);
  EXPECT_FALSE(kitchen.world.canner()->boiling());
  const double cold_c = kitchen.world.canner()->temperature_c();
  EXPECT_LT(cold_c, 99);
  kitchen.say("off_boil", "The water bath has lost its boil.");
  kitchen.pass(200);
  EXPECT_TRUE(kitchen.world.canner()->boiling());
}

TEST(World, AProbeOutOfThePotReadsLowAndComesBack) {
  Kitchen kitchen(std::string(with_canner) +
                  "[[trouble]]\nwhat = \"probe out\"\ncue = \"step\"\nhears = \"Stir\"\n"
                  "after_s = 0\nfor_s = 30\n");
  kitchen.say("canner", "Fill the canner.");
  kitchen.pass(400);
  EXPECT_NEAR(static_cast<double>(kitchen.canner.back()), 999, 2);
  kitchen.say("step", "Stir.");
  kitchen.pass(29);
  EXPECT_LT(kitchen.canner.back(), 800);
  kitchen.pass(60);
  EXPECT_NEAR(static_cast<double>(kitchen.canner.back()), 999, 2);
}

TEST(World, AJarThatDidNotSealIsNotAnsweredFor) {
  Kitchen kitchen("[jars]\nunsealed = [2]\n");
  kitchen.say("seal_asked", "Jar 1: sealed?", "jar 1");
  kitchen.pass(10);
  EXPECT_EQ(kitchen.presses_ms.size(), 1u);
  kitchen.say("seal_asked", "Jar 2: sealed?", "jar 2");
  kitchen.pass(60);
  EXPECT_EQ(kitchen.presses_ms.size(), 1u);
}

TEST(World, AStepThatIsSaidAgainIsDoneOnce) {
  Kitchen kitchen(with_canner);
  kitchen.say("step", "Lids on.");
  kitchen.pass(5);
  kitchen.say("step", "Lids on.");
  kitchen.pass(60);
  EXPECT_TRUE(kitchen.presses_ms.empty());  // no such words
  kitchen.say("step", "Now the jars in.");
  kitchen.pass(5);
  kitchen.say("step", "Now the jars in.");
  kitchen.pass(60);
  EXPECT_EQ(kitchen.presses_ms.size(), 1u);
}

TEST(World, AllAnswersThatFitAreDone) {
  Kitchen kitchen(
      "[[answer]]\nhears = \"into the pan\"\ndoes = \"heat\"\n"
      "[[answer]]\nhears = \"Say ok\"\ndoes = \"press\"\nafter_s = 9\n");
  kitchen.say("step", "All into the pan. Say ok when it is there.");
  kitchen.pass(8);
  EXPECT_TRUE(kitchen.presses_ms.empty());
  kitchen.pass(8);
  EXPECT_EQ(kitchen.presses_ms.size(), 1u);
}

TEST(World, AskedForJarsAndBoilInOneTheCookPressesOnlyAtTheBoil) {
  Kitchen kitchen(with_canner);
  kitchen.say("canner", "Fill the canner.");
  kitchen.pass(60);
  kitchen.say("step", "Say ok when the jars in it are under water and it boils hard.");
  kitchen.pass(22);
  ASSERT_FALSE(kitchen.world.canner()->boiling());
  EXPECT_EQ(kitchen.presses_ms.size(), 1u);
  kitchen.pass(400);
  EXPECT_TRUE(kitchen.world.canner()->boiling());
  EXPECT_EQ(kitchen.presses_ms.size(), 2u);
}

TEST(World, AFirmPushIsSeenOnTheScaleAndGone) {
  Kitchen kitchen("[[answer]]\ncue = \"ask\"\ndoes = \"press_scale\"\nafter_s = 1\n");
  kitchen.say("ask", "Is that so?");
  kitchen.pass(10);
  const auto most = *std::max_element(kitchen.scale.begin(), kitchen.scale.end());
  EXPECT_GT(most, 300);
  EXPECT_EQ(kitchen.scale.back(), 0);
  EXPECT_TRUE(kitchen.presses_ms.empty());
}

TEST(World, HowOftenTimeIsAskedForChangesNothing) {
  const auto evening = [](double piece_s) {
    Kitchen kitchen(with_canner);
    kitchen.say("canner", "Fill the canner.");
    for (double at_s = 0; at_s < 600; at_s += piece_s) kitchen.pass(piece_s);
    return std::make_tuple(kitchen.canner, kitchen.pan, kitchen.scale, kitchen.presses_ms);
  };
  EXPECT_EQ(evening(0.02), evening(100));
  EXPECT_EQ(evening(1), evening(100));
}

}  // namespace
}  // namespace maslin::kitchen
