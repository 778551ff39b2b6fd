// Numbers as text; see the header.
#include "daemon/quantity/decimal.hpp"

#include <cmath>
#include <cstdio>

namespace maslin::quantity {
namespace {

// value / 10^scale with `decimals` digits behind the point (decimals <= scale), rounded half away
// from zero in integers: printf would round the binary neighbour of the decimal.
std::string decimal(std::int64_t value, int scale, int decimals) {
  std::int64_t divisor = 1;
  for (int i = decimals; i < scale; ++i) divisor *= 10;
  std::int64_t unit = 1;
  for (int i = 0; i < decimals; ++i) unit *= 10;
  const std::int64_t number = nearest_multiple(value, divisor) / divisor;
  const std::int64_t size = number < 0 ? -number : number;
  std::string text = number < 0 ? "-" : "";
  text += std::to_string(size / unit);
  if (decimals > 0) {
    const std::string part = std::to_string(size % unit);
    text += "." + std::string(static_cast<std::size_t>(decimals) - part.size(), '0') + part;
  }
  return text;
}

// Decimals of a gram that an interval shows: 1 for 0.1 g, 1 for 0.5 g, 0 for 2 g.
int decimals_of(std::int64_t interval_ug) {
  int decimals = 0;
  for (std::int64_t step = 1'000'000; decimals < 6 && interval_ug % step != 0; step /= 10)
    ++decimals;
  return decimals;
}

}  // namespace

std::string grams(std::int64_t micrograms, std::int64_t interval_ug) {
  if (interval_ug > 0) return decimal(micrograms, 6, decimals_of(interval_ug)) + " g";
  const std::int64_t size = micrograms < 0 ? -micrograms : micrograms;
  if (size >= 99'950'000 || size % 1'000'000 == 0) return decimal(micrograms, 6, 0) + " g";
  return decimal(micrograms, 6, size >= 950'000 ? 1 : 2) + " g";
}

std::string plain(double value, int decimals) {
  char buffer[64];
  const int length = std::snprintf(buffer, sizeof buffer, "%.*f", decimals, value);
  if (length <= 0 || length >= static_cast<int>(sizeof buffer))
    return "a number beyond all measure";
  std::string text(buffer, static_cast<std::size_t>(length));
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string celsius(std::int64_t millikelvin) {
  return decimal(millikelvin - 273'150, 3, 1) + " °C";
}

std::string celsius_bounds(std::int64_t least_mk, std::int64_t most_mk) {
  if (least_mk > 0 && most_mk > 0)
    return "between " + celsius(least_mk) + " and " + celsius(most_mk);
  if (most_mk > 0) return "at most " + celsius(most_mk);
  return least_mk > 0 ? "at least " + celsius(least_mk) : "";
}

std::int64_t multiple_below(std::int64_t value, std::int64_t step) {
  const std::int64_t rest = value % step;
  return value - rest - (rest < 0 ? step : 0);
}

std::int64_t multiple_above(std::int64_t value, std::int64_t step) {
  return -multiple_below(-value, step);
}

std::int64_t nearest_multiple(std::int64_t value, std::int64_t step) {
  const std::int64_t size = value < 0 ? -value : value;
  const std::int64_t rest = size % step;
  const std::int64_t nearest = size - rest + (rest >= step - rest ? step : 0);
  return value < 0 ? -nearest : nearest;
}

std::string jar_names(const std::vector<std::int64_t>& jars, const std::string& unit) {
  std::string text = unit + (jars.size() == 1 ? " " : "s ");
  for (std::size_t i = 0; i < jars.size(); ++i) {
    if (i > 0) text += i + 1 == jars.size() ? " and " : ", ";
    text += std::to_string(jars[i]);
  }
  return text;
}

}  // namespace maslin::quantity
