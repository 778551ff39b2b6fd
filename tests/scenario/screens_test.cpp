// What `maslin follow` shows in each phase of an evening, on a small, a usual and a large terminal:
// nothing is wider or longer than it, what must be done now is on it, and no meaning is in colour
// alone (there is none). With MASLIN_SCREENS=FILE in the environment the screens are written there,
// to be read.
#include <cstdlib>
#include <fstream>

#include "client/text.hpp"
#include "client/view.hpp"
#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

struct Size {
  std::size_t columns;
  std::size_t rows;
};
constexpr Size sizes[] = {{40, 12}, {80, 24}, {160, 50}};

class Screens : public testing::Test {
 protected:
  Screens() : stage(setting()) {
    if (const char* file = std::getenv("MASLIN_SCREENS")) out.open(file, std::ios::app);
  }
  static Setting setting() {
    auto evening = shelf_evening();
    evening.kitchen.troubles.push_back(
        trouble(kitchen::TroubleModel::What::burner_out, kitchen::PotName::canner, 120, 200));
    return evening;
  }

  client::View view() const {
    client::View view;
    view.take(stage.status());
    for (const auto& one : stage.said()) {
      proto::Entry entry;
      entry.stamp.at_ms = one.at_ms;
      entry.body = one.outcome;
      view.take(entry);
    }
    view.take(stage.status());
    return view;
  }

  // All that is on the screen, without line ends, so that a wrapped sentence can be found.
  void look(const std::string& name, const std::string& must_show) {
    for (const auto& size : sizes) {
      const auto lines = view().screen(size.columns, size.rows);
      std::string all;
      EXPECT_LE(lines.size(), size.rows) << name;
      if (out.is_open()) {
        out << "== " << name << ", " << size.columns << "x" << size.rows << "\n";
      }
      for (const auto& line : lines) {
        EXPECT_LE(client::width(line.text), size.columns) << name << ": " << line.text;
        std::string text = line.text;
        text.erase(0, text.find_first_not_of(' '));
        all += (all.empty() ? "" : " ") + text;
        if (out.is_open()) out << (line.loud ? "* " : "  ") << line.text << "\n";
      }
      EXPECT_NE(all.find(must_show), std::string::npos)
          << name << " at " << size.columns << "x" << size.rows << " lacks \"" << must_show
          << "\":\n"
          << all;
    }
  }

  Stage stage;
  std::ofstream out;
};

TEST_F(Screens, EachPhaseSaysWhatToDoNowOnEverySizeOfTerminal) {
  stage.run_to("canner", 2);
  look("canner", "Say ok when it is on the heat");
  stage.run_to("prepare", 5);
  look("prepare", "say ok");
  stage.run_to("weigh", 12);
  look("weigh", "onion");
  stage.run_to("wait", 20);
  look("wait", "The pan waits about");
  stage.run_to("heat", 30);
  look("heat", "bring it to the boil");
  stage.run_to("dwell", 60);
  look("dwell", "to go, minutes and seconds");
  stage.run_to("fill", 5);
  look("fill", "Say ok when it is so");
  stage.run_to("water bath", 2);
  look("water bath, loading", "Say ok when the jars are in");
  stage.run(7200, [&] { return stage.told_s("boil", "The water bath counts") > 0; });
  look("water bath, timed", "to go, minutes and seconds");
  stage.run(7200, [&] { return stage.condition_s("boil lost") > 0; });
  look("water bath, lost", "The water bath has lost its boil");
  stage.run_to("cool", 600);
  look("cool", "to go, hours and minutes");
  stage.run_to("seal check", 2);
  look("seal check", "Stand by the jars and say ok");
}

TEST_F(Screens, AHoldSaysWhatEndsItAndWhatToDoWithThePan) {
  stage.run_to("heat", 30);
  stage.say("hold", "the telephone");
  look("held", "Pan off the heat, stir now and then.");
}

}  // namespace
}  // namespace maslin::scenario
