// Tables of OIML R 76-1:2006; see the header.
#include "daemon/weighing/scale_class.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace maslin::weighing {
namespace {

struct Limits {
  std::string_view name;
  double half_e;          // up to so many e the initial limit is 0.5 e, table 6
  double one_e;           // up to so many it is 1 e, beyond 1.5 e
  double most_intervals;  // table 3
  double least_intervals;
};
constexpr std::array<Limits, 4> kLimits{{
    {"I", 50'000, 200'000, 0, 100},
    {"II", 5'000, 20'000, 100'000, 50},
    {"III", 500, 2'000, 10'000, 20},
    {"IIII", 50, 200, 1'000, 10},
}};

const Limits& limits(ScaleClass scale_class) {
  return kLimits[static_cast<std::size_t>(scale_class)];
}

}  // namespace

std::string_view name(ScaleClass scale_class) { return limits(scale_class).name; }

std::optional<ScaleClass> scale_class_named(std::string_view text) {
  for (std::size_t i = 0; i < kLimits.size(); ++i) {
    if (text == kLimits[i].name) return static_cast<ScaleClass>(i);
  }
  return std::nullopt;
}

double verification_interval_g(ScaleClass scale_class, double interval_g, double capacity_g) {
  const double most = limits(scale_class).most_intervals;
  return most > 0 ? std::max(interval_g, capacity_g / most) : interval_g;
}

double permissible_error_g(ScaleClass scale_class, double load_g, double e_g) {
  const Limits& of = limits(scale_class);
  const double load = std::abs(load_g);
  const double initial = load <= of.half_e * e_g ? 0.5 : load <= of.one_e * e_g ? 1.0 : 1.5;
  return 2.0 * initial * e_g;
}

double least_load_g(ScaleClass scale_class, double e_g) {
  // Class II with an interval below 0.1 g: 20 e.
  if (scale_class == ScaleClass::high && e_g < 0.1) return 20.0 * e_g;
  return limits(scale_class).least_intervals * e_g;
}

double most_intervals(ScaleClass scale_class) { return limits(scale_class).most_intervals; }

}  // namespace maslin::weighing
