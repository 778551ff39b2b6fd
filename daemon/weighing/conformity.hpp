// Is a weighed mass inside its band, and how far inside must it be: JCGM 106 with a flat prior, and
// the guards of critical limits with the cook's own spread as prior. Called by the engine and by
// plan/. Grams throughout; a limit that is not there is +-infinity.
#pragma once

#include <cstdint>
#include <string_view>

#include "daemon/weighing/uncertainty.hpp"

namespace maslin::weighing {

struct Conformity {  // probabilities, together 1
  double within = 0;
  double under = 0;
  double over = 0;
};
Conformity conformity(double net_g, double lower_g, double upper_g, const NetBudget& budget);

enum class Judgement : std::uint8_t { within, under, over, undecided };
std::string_view name(Judgement judgement);

// Guarded acceptance: a side is called only at 95 % or more. For critical limits.
Judgement guarded(const Conformity& conformity);

// Simple acceptance: by the reading, limits belong to the band; undecided wherever the scale could
// not even judge a reading in the middle of the band. For quality.
Judgement simple(double net_g, double lower_g, double upper_g, const NetBudget& budget);

// What a verdict may cost at this very reading (JCGM 106 specific risks): accepted though it does
// not conform, the consumer's; called under or over though it does, the producer's. The one that
// the verdict cannot cause is 0; undecided causes neither.
struct Risks {
  double consumer = 0;
  double producer = 0;
};
Risks risks(const Conformity& conformity, Judgement judgement);

// Can a scale judge a band of +- tolerance_g at all; and with at most about one good pour in five
// left undecided.
bool checkable(double tolerance_g, const NetBudget& budget);
bool comfortable(double tolerance_g, const NetBudget& budget);
// Smallest mass whose band of +- tolerance_pct percent can be judged, the linearity taken as it
// stands.
double smallest_checkable_mass_g(double tolerance_pct, const NetBudget& budget);

// How far inside a one-sided critical limit a net mass must lie so that at most 5 % of what is
// accepted is bad at every accepted reading, even for a cook who pours two of his own standard
// deviations off on the wrong side. standard_g: uncertainty of what is compared; spread: relative
// standard deviation of the cook's pours. With standard_g 0 the guard is 0.
double critical_guard_g(double standard_g, double mass_g, double spread);

}  // namespace maslin::weighing
