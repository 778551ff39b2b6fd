// The comparison of vessel_check.hpp.
#include "daemon/batch/vessel_check.hpp"

#include <cmath>
#include <cstdlib>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// From one scale to the other a cook takes no longer, and another bowl rarely weighs so nearly the
// same (common practice, no source).
constexpr std::int64_t carried_within_ms = 30'000;
constexpr double another_vessel = 0.05;

double half95_g(const ScaleDesk& scale, std::int64_t gross_ug) {
  return weighing::net_uncertainty(budget_of(gross_ug, scale)).half95_g;
}

}  // namespace

void VesselCheck::take(Desk& desk, const ScaleDesk& scale, const weighing::PanChange& change,
                       bool asks) {
  if (change.lifted && gross_ug_.contains(scale.device)) {
    lifted_ = Lifted{scale.device, gross_ug_[scale.device], desk.now_ms};
  }
  if (scale.pan.detector().at_rest() && !scale.pan.away()) {
    gross_ug_[scale.device] = scale.pan.gross_ug();
  }
  if (!asks || !change.vessel_on) return;
  check_known(desk, scale);
  if (!lifted_ || lifted_->device == scale.device) return;
  const Lifted before = *lifted_;
  lifted_.reset();
  if (said_ || desk.now_ms - before.at_ms > carried_within_ms) return;
  for (const auto& other : desk.scales) {
    if (other.device == before.device) compare(desk, scale, other, before.gross_ug);
  }
}

// Once a batch on each scale.
void VesselCheck::check_known(Desk& desk, const ScaleDesk& scale) {
  const auto& known_g = desk.start.facts.vessel_g;
  const std::int64_t gross_ug = scale.pan.gross_ug();
  if (!known_g || checked_.contains(scale.device)) return;
  const double off_g = std::abs(static_cast<double>(gross_ug) / 1e6 - *known_g);
  if (off_g > another_vessel * *known_g) return;
  checked_.insert(scale.device);
  if (off_g <= half95_g(scale, gross_ug)) {
    desk.emit(proto::Condition{"the known vessel weighs what it should", "measured", 0});
    return;
  }
  desk.cue(
      "advice",
      "The known vessel, " + amount(std::llround(*known_g * 1e6), scale.interval_ug) + ", shows " +
          amount(gross_ug, scale.interval_ug) + " on the " + std::string(proto::name(scale.role)) +
          " scale. If it is that vessel, clean and empty, the scale is off: maslin calibrate.");
}

void VesselCheck::compare(Desk& desk, const ScaleDesk& here, const ScaleDesk& there,
                          std::int64_t there_ug) {
  const std::int64_t here_ug = here.pan.gross_ug();
  const double apart_g = std::abs(static_cast<double>(here_ug - there_ug)) / 1e6;
  if (apart_g > another_vessel * static_cast<double>(there_ug) / 1e6) return;
  said_ = true;
  // Each is good to its own 95 %; that both are off by so much, against each other, is rare.
  if (apart_g <= std::hypot(half95_g(here, here_ug), half95_g(there, there_ug))) {
    desk.emit(proto::Condition{"the vessel weighs the same on both scales", "measured", 0});
    return;
  }
  desk.cue("advice", "If that is the bowl from the " + std::string(proto::name(there.role)) +
                         " scale: it weighed " + amount(there_ug, there.interval_ug) +
                         " there and weighs " + amount(here_ug, here.interval_ug) +
                         " here. One of the two scales is off: try both with a known weight.");
}

}  // namespace maslin::batch
