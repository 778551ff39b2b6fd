// `figure corner` and `figure warm-up`: what the tests of a scale on request say.
#include "daemon/weighing/scale_tests.hpp"

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

std::string grams(double value, double interval_g) {
  return to_places_of(value, interval_g) + " g";
}

}  // namespace

proto::Results<Figure> corner(Asked& asked) {
  weighing::CornerTest test;
  test.load_g = asked.mass_g("load", Sign::above_zero);
  test.centre_g = asked.mass_g("centre");
  for (const std::string& text : asked.texts("corner")) {
    test.corners_g.push_back(asked.mass_of("corner", text));
  }
  const double interval = asked.mass_g("interval", Sign::above_zero);
  const auto of_class = scale_class(asked).value_or(weighing::ScaleClass::medium);
  const auto capacity = asked.mass_if_given_g("capacity", Sign::above_zero);
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const double e = weighing::verification_interval_g(of_class, interval, capacity.value_or(0));
  test.limit_g = weighing::permissible_error_g(of_class, test.load_g, e);
  const weighing::CornerResult found = weighing::evaluate(test);
  Figure figure;
  figure.fields = {{"largest_g", found.largest_g}, {"limit_g", test.limit_g}, {"good", found.good}};
  figure.value = std::string(found.good ? "good" : "not good") + ": the farthest corner is " +
                 grams(found.largest_g, interval) + " off the middle, " +
                 grams(test.limit_g, interval) + " are allowed";
  figure.accuracy = "the steps of the scale, " + grams(interval, interval);
  figure.range =
      "a load of about a third of what the scale carries, the same on the middle and at "
      "each corner";
  figure.source =
      "OIML R 76-1:2006 3.6.2 (from memory) and table 6, in service twice (from memory)";
  if (test.corners_g.size() < 4) figure.beyond = "a pan has four corners";
  if (capacity && (test.load_g < *capacity / 5.0 || test.load_g > *capacity / 2.0)) {
    figure.beyond = "the load is not about a third of what the scale carries";
  }
  return figure;
}

proto::Results<Figure> warm_up(Asked& asked) {
  std::vector<weighing::WarmUpLevel> levels;
  for (const std::string& text : asked.texts("level")) {
    const auto at = halves(text, '=');
    const auto shown = at ? halves(at->second, ':') : std::nullopt;
    if (!shown) {
      asked.refuse("\"" + proto::excerpt(text, 60) + "\" is no minute with two indications",
                   "level", "write MINUTES=EMPTY:LOADED, such as 5=0:1002");
      continue;
    }
    levels.push_back({60.0 * asked.number_of("level", at->first, Sign::not_below_zero),
                      asked.mass_of("level", shown->first), asked.mass_of("level", shown->second)});
  }
  const double interval = asked.mass_g("interval", Sign::above_zero);
  for (std::size_t i = 1; i < levels.size() && asked.good(); ++i) {
    if (levels[i].at_s <= levels[i - 1].at_s) {
      asked.refuse("the minutes do not rise", "level", "give the levels in their order");
    }
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const weighing::WarmUpResult found = weighing::evaluate(levels, interval);
  Figure figure;
  figure.fields = {{"ready_after_min", found.ready_after_s / 60.0},
                   {"zero_change_g", found.zero_change_g},
                   {"span_change_g", found.span_change_g},
                   {"good", found.good}};
  figure.value =
      (found.good ? "ready after " + quantity::plain(found.ready_after_s / 60.0, 1) + " min"
                  : std::string("not ready when the test ended")) +
      "; the empty pan moved by " + grams(found.zero_change_g, interval) + ", the load by " +
      grams(found.span_change_g, interval);
  figure.accuracy = "as often as it was looked at; one step is " + grams(interval, interval);
  figure.range = "a scale that was off for hours, the same load every time, half an hour at least";
  figure.source =
      "OIML R 76-1:2006 A.5.2 (from memory); within one step of the end: common "
      "practice, no source";
  if (levels.size() < 3) figure.beyond = "three levels at least show whether it still moves";
  return figure;
}

}  // namespace maslin::figures
