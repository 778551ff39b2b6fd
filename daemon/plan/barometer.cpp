// The judgement of barometer.hpp.
#include "daemon/plan/barometer.hpp"

#include <cmath>

#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::plan {
namespace {

// Further off than any weather (common practice, no source).
constexpr double weather_pa = 4000;

std::string hectopascals(double pascals) { return quantity::plain(pascals / 100, 0) + " hPa"; }

}  // namespace

bool reduced_to_sea(double altitude_m, double pascals) {
  const auto standard = quantity::standard_pressure_pa(altitude_m);
  return standard && std::abs(pascals - *standard) > weather_pa;
}

std::string barometer_note(double altitude_m, std::int64_t pascals) {
  const auto standard = quantity::standard_pressure_pa(altitude_m);
  if (!standard) return {};
  const auto shown = static_cast<double>(pascals);
  if (reduced_to_sea(altitude_m, shown)) {
    return "The barometer shows " + hectopascals(shown) + ", where the air has about " +
           hectopascals(*standard) + " at " + quantity::plain(altitude_m, 0) +
           " m: it is reduced to sea level, or the altitude is wrong. It is not used.";
  }
  return "The barometer shows " + hectopascals(shown) +
         "; the time in the bath goes by the altitude alone.";
}

}  // namespace maslin::plan
