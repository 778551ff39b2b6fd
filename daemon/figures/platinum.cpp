// `figure platinum`: a thermometer of 100 ohm, for whoever builds or checks a probe.
#include "daemon/quantity/platinum.hpp"

#include <limits>
#include <string>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {

using quantity::plain;

namespace {

// Where the classes end at the latest, whatever the maker states; IEC 60751, from memory.
constexpr double coldest_a_c = -100;
constexpr double hottest_a_c = 450;
constexpr double coldest_b_c = -196;
constexpr double hottest_b_c = 600;

std::string class_text(const char* name, double kelvin) {
  return std::string("of class ") + name + " " +
         (kelvin < std::numeric_limits<double>::infinity() ? plain(kelvin, 3) + " K"
                                                           : "none: its class ends before");
}

}  // namespace

proto::Results<Figure> platinum(Asked& asked) {
  const bool by_ohm = asked.given("ohm") != nullptr;
  if (by_ohm == (asked.given("temperature") != nullptr)) {
    asked.refuse("one of --ohm and --temperature is asked for", "ohm",
                 "give 138.51, or --temperature \"100 C\"");
    return tl::unexpected(asked.troubles());
  }
  const double given =
      by_ohm ? asked.number("ohm", Sign::above_zero) : asked.temperature_c("temperature");
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto celsius = by_ohm ? quantity::platinum_c(given) : std::optional(given);
  const auto ohm = by_ohm ? std::optional(given) : quantity::platinum_ohm(given);
  if (!celsius || !ohm) {
    asked.refuse(plain(given, 2) + (by_ohm ? " ohm" : " °C") + " is outside the equation",
                 by_ohm ? "ohm" : "temperature", "give 18.53 to 390.48 ohm, -200 to 850 °C");
    return tl::unexpected(asked.troubles());
  }
  constexpr double none = std::numeric_limits<double>::infinity();
  const bool in_a = *celsius >= coldest_a_c && *celsius <= hottest_a_c;
  const bool in_b = *celsius >= coldest_b_c && *celsius <= hottest_b_c;
  const double a = in_a ? quantity::platinum_class_a_c(*celsius) : none;
  const double b = in_b ? quantity::platinum_class_b_c(*celsius) : none;
  Figure figure;
  figure.fields = {
      {"temperature_c", *celsius}, {"resistance_ohm", *ohm}, {"class_a_c", a}, {"class_b_c", b}};
  figure.value = plain(*ohm, 3) + " ohm are " + plain(*celsius, 2) + " °C (" +
                 plain(*celsius * 1.8 + 32, 1) + " °F)";
  figure.lines = {"the wires to it add their own ohms: 0.385 ohm too many show 1 K too much",
                  "its own error goes with ice and boil: maslin calibrate"};
  figure.accuracy = "a thermometer " + class_text("A", a) + ", " + class_text("B", b) +
                    (in_a || in_b ? " either way" : "");
  figure.range =
      "100 ohm at 0 °C, -200 to 850 °C; the classes hold within what the maker states, at the most "
      "-100 to 450 (A) and -196 to 600 °C (B), from memory";
  figure.source = "IEC 60751, equation and tolerance classes";
  return figure;
}

}  // namespace maslin::figures
