// `figure boiling`, `pressure`, `setting`, `probe`: what boils at which temperature here.
#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/probe.hpp"
#include "daemon/preserving/setting.hpp"
#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

using quantity::plain;

constexpr double kZeroC = 273.15;
constexpr const char* kAtmosphere = "US Standard Atmosphere 1976";
constexpr const char* kSteam = "IAPWS R7-97(2012) region 4";
// The weather's standard deviation about the standard pressure (our judgement).
constexpr double kWeatherPa = 900;
constexpr double kBarometerPa = 100;

std::string fahrenheit(double celsius) { return plain(celsius * 1.8 + 32, 1) + " °F"; }
std::string degrees(double celsius) {
  return plain(celsius, 2) + " °C (" + fahrenheit(celsius) + ")";
}

// Nothing but an altitude within the range.
std::optional<double> standard_pa(Asked& asked, double altitude_m) {
  const auto pascals = quantity::standard_pressure_pa(altitude_m);
  if (!pascals && asked.good()) {
    asked.refuse("no kitchen stands at " + plain(altitude_m, 0) + " m", "altitude",
                 "give -430 m to 8800 m");
  }
  return pascals;
}

// A pressure that was reduced to the sea is 1013 hPa in the mountains too; nobody can tell from it
// alone, so every answer says which is meant.
constexpr const char* kStation =
    "the true pressure at the place; what a weather report gives is reduced to the sea";

// Kitchens: 30 to 110 kPa.
bool kitchen_pressure(Asked& asked, double pascals) {
  if (asked.good() && (pascals < 30e3 || pascals > 110e3)) {
    asked.refuse(plain(pascals / 100, 1) + " hPa is no air pressure of a kitchen", "pressure",
                 "give 300 to 1100 hPa; 29.9 inHg are 1012.5 hPa");
  }
  return asked.good();
}

}  // namespace

proto::Results<Figure> boiling(Asked& asked) {
  const bool by_altitude = asked.given("altitude") != nullptr;
  if (by_altitude == (asked.given("pressure") != nullptr)) {
    asked.refuse("one of --altitude and --pressure is asked for", "altitude",
                 "give \"640 m\" or \"940 hPa\"");
    return tl::unexpected(asked.troubles());
  }
  double pascals = 0;
  if (by_altitude) {
    pascals = standard_pa(asked, asked.altitude_m("altitude")).value_or(0);
  } else {
    pascals = asked.pressure_pa("pressure");
    kitchen_pressure(asked, pascals);
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const double celsius = *preserving::saturation_temperature_k(pascals) - kZeroC;
  Figure figure;
  figure.fields = {{"temperature_c", celsius}, {"pressure_hpa", pascals / 100}};
  figure.value =
      "water boils at " + degrees(celsius) + " under " + plain(pascals / 100, 1) + " hPa";
  figure.accuracy = by_altitude ? "the weather moves it by up to about 0.8 K"
                                : "0.03 K for each hectopascal of the barometer";
  figure.range = by_altitude ? "-430 to 8800 m" : std::string("300 to 1100 hPa, ") + kStation;
  figure.source = (by_altitude ? std::string(kAtmosphere) + "; " : "") + kSteam;
  return figure;
}

proto::Results<Figure> pressure(Asked& asked) {
  const auto pascals = standard_pa(asked, asked.altitude_m("altitude"));
  if (!asked.good()) return tl::unexpected(asked.troubles());
  Figure figure;
  figure.fields = {{"pressure_hpa", *pascals / 100}};
  figure.value = plain(*pascals / 100, 1) + " hPa";
  figure.accuracy =
      "the weather moves it by up to about 30 hPa; a barometer that shows 40 hPa more "
      "or less is reduced to the sea";
  figure.range = "-430 to 8800 m";
  figure.source = kAtmosphere;
  return figure;
}

proto::Results<Figure> setting(Asked& asked) {
  const double altitude = asked.altitude_m("altitude");
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto point = preserving::setting_point(altitude);
  if (!point) return refused(point.error());
  Figure figure;
  figure.fields = {{"boiling_c", point->boiling_c},
                   {"table_c", point->table_c},
                   {"rule_c", point->rule_c},
                   {"difference_k", point->table_c - point->rule_c}};
  figure.value = degrees(point->table_c) + " by the table, " + degrees(point->rule_c) +
                 " as 8 °F over the boil of " + degrees(point->boiling_c);
  figure.accuracy = "the two differ by " + plain(point->table_c - point->rule_c, 2) +
                    " K here; a probe that was never held against ice and boil adds its own error";
  figure.range =
      "the sea to 8000 ft, jellies without added pectin; one with added pectin ends by "
      "its timed full boil";
  figure.source =
      "USDA Complete Guide to Home Canning (AIB 539), temperature test for jelly, read "
      "along the line between printed altitudes (4000 and 7000 ft from memory); " +
      std::string(kAtmosphere) + "; " + kSteam;
  return figure;
}

proto::Results<Figure> probe(Asked& asked) {
  const double ice = asked.temperature_c("ice");
  const double boil = asked.temperature_c("boiling");
  const bool by_altitude = asked.given("altitude") != nullptr;
  double pascals = 0;
  if (by_altitude == (asked.given("pressure") != nullptr)) {
    asked.refuse("one of --pressure and --altitude is asked for", "pressure",
                 "give \"940 hPa\" or \"640 m\"");
  } else if (by_altitude) {
    pascals = standard_pa(asked, asked.altitude_m("altitude")).value_or(0);
  } else {
    pascals = asked.pressure_pa("pressure");
    kitchen_pressure(asked, pascals);
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto found =
      preserving::calibrate_probe(ice, boil, pascals, by_altitude ? kWeatherPa : kBarometerPa, 0.1);
  if (!found) return refused(found.error());
  const double u = found->standard_uncertainty_c(found->boiling_c);
  Figure figure;
  figure.fields = {{"offset_c", found->ice_c},
                   {"slope", found->slope},
                   {"standard_uncertainty_c", u},
                   {"boiling_c", found->boiling_c}};
  figure.value = "true = " + plain(found->slope, 5) + " x (shown - " + plain(found->ice_c, 2) +
                 " °C); the boil here is " + degrees(found->boiling_c);
  figure.accuracy =
      "standard uncertainty at the boil " + plain(u, 2) + " K" +
      (by_altitude ? ", nearly all of it the weather: a barometer makes it 0.08 K" : "");
  figure.range =
      "a display of tenths, stirred ice, a hard boil of water; temperatures between and "
      "a little above them";
  figure.source = std::string(by_altitude ? std::string(kAtmosphere) + "; " : "") + kSteam +
                  "; JCGM 100:2008 5.1; ice and boil good to 0.05 K: common practice, no source";
  return figure;
}

}  // namespace maslin::figures
