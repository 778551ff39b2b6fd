// Loads taken one by one; see the header.
#include "daemon/weighing/calibrating.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/weighing/uncertainty.hpp"

namespace maslin::weighing {
namespace {

// Steps that the zero of an empty pan may have wandered (common practice, no source).
constexpr double most_zero = 20;

double grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }

}  // namespace

Calibrating::Calibrating(std::int64_t interval_ug, std::int64_t capacity_ug, std::int64_t lag_ms)
    : rest_(interval_ug, lag_ms) {
  loads_.interval_g = grams(interval_ug);
  loads_.repeatability_g = kUsualRepeatability * loads_.interval_g;
  loads_.capacity_g = grams(capacity_ug);
  // What is kept lets weighings do without the linearity of the class.
  loads_.least_different = 2;
}

bool Calibrating::feed(const proto::Reading& reading, std::int64_t mass_ug) {
  if (!reading.usable()) {
    rest_.restart();
    return false;
  }
  const bool other_unit = unit_ != proto::Unit::none && unit_ != reading.unit;
  unit_ = reading.unit;
  const bool moving = (reading.state & proto::state::moving) != 0;
  if (rest_.feed(reading.at_ms, mass_ug, moving) == Settling::departed) moved_ = true;
  return other_unit;
}

std::optional<double> Calibrating::level_g() const {
  if (!rest_.quiet()) return std::nullopt;
  // A quiet scale shows one of its steps, and the mean of its readings is known no better than the
  // rounding that the uncertainty counts.
  return grams(rest_.level_ug());
}

bool Calibrating::take_zero() {
  if (std::abs(*level_g()) > most_zero * loads_.interval_g) return false;
  begun_ = true;
  zero_g_ = *level_g();
  loads_.zero_after_g = zero_g_;
  return true;
}

bool Calibrating::off_zero() const {
  return std::abs(*level_g() - zero_g_) > 2.0 * loads_.interval_g;
}

bool Calibrating::take_load(const KnownMass& mass) {
  if (!off_zero() || !moved_) return false;
  moved_ = false;
  // What the readings themselves show, where it is more than is assumed.
  loads_.repeatability_g = std::max(loads_.repeatability_g, rest_.repeatability_ug() / 1e6);
  loads_.loads.push_back(
      {.masses = {index_of(loads_.masses, mass)}, .before_g = zero_g_, .indication_g = *level_g()});
  return true;
}

bool Calibrating::take_zero_again() {
  if (off_zero()) return false;
  loads_.zero_after_g = *level_g();
  return true;
}

}  // namespace maslin::weighing
