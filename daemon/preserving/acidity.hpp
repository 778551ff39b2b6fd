// Acetic acid as a bottle states it, and what a pH meter may say of a jar. For information: no pH
// of plain vinegar says anything of the food in it.
#pragma once

#include <optional>
#include <string_view>

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Why that is no strength of a vinegar, 0.5 to 10 %; empty where it is. Essence is dangerous as it
// is.
std::optional<proto::Trouble> no_vinegar(double strength_pct, std::string_view where);

// What plain acetic acid of this strength (grams in 100 mL, as labels state it) is; 0.5 to 10 %,
// essence above is an error. pKa 4.756 at 25 °C (from memory); activities not counted, good to 0.1.
struct AceticAcid {
  double mol_l = 0;
  double ph = 0;
};
proto::Result<AceticAcid> acetic_acid(double strength_pct);

// A measured equilibrium pH.
struct PhReading {
  double ph = 0;
  double temperature_c = 25;
  double hours_after = 0;  // since the process ended
  // What the meter showed in its two buffers, and what they are.
  double low_buffer = 4.01;
  double low_shown = 4.01;
  double high_buffer = 7.0;
  double high_shown = 7.0;
  double resolution = 0.01;  // of the display
};
enum class PhVerdict { within, over, undecided };
struct PhJudgement {
  PhVerdict verdict = PhVerdict::undecided;
  double corrected = 0;  // by the two buffers
  double standard_uncertainty = 0;
};
// Whether the finished equilibrium pH is at most `limit`: guarded, called only at 95 %. 21 CFR
// 114.3: 4.6, and 4.6 itself is still in. Refused where the method is not good enough: less than a
// day after the process, a buffer off by more than 0.2, a slope outside 0.9 to 1.1, a temperature
// outside 15 to 30 °C, a display coarser than 0.1 (21 CFR 114.90 asks for a meter above 4.0, from
// memory; the other bounds common practice, no source). Never grounds to call an untested formula
// safe.
proto::Result<PhJudgement> judge_ph(const PhReading& reading, double limit);
// The same by paper, whose `resolution` is the step between two colours; the buffers are not asked
// for. 21 CFR 114.90 allows colours only where the pH is 4.0 or below (from memory): refused where
// the next colour already lies above that, or the step is over half a pH.
proto::Result<PhJudgement> judge_ph_paper(const PhReading& reading, double limit);
inline constexpr double kAcidifiedPh = 4.6;

}  // namespace maslin::preserving
