// Acid and pH; see the header.
#include "daemon/preserving/acidity.hpp"

#include <cmath>
#include <optional>

#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

constexpr double acetic_mole = 60.052;
const double dissociation = std::pow(10.0, -4.756);
constexpr double weakest_pct = 0.5;
constexpr double strongest_pct = 10;

// Limits lie about 4.6 and the standard buffers at 4.01 and 7.00: one below it and one above.
constexpr double highest_low = 4.1;
constexpr double lowest_high = 4.6;
constexpr double least_hours = 24;
constexpr double most_buffer_off = 0.2;
constexpr double most_slope_off = 0.1;
constexpr double coldest_c = 15;
constexpr double warmest_c = 30;
constexpr double coarsest = 0.1;
constexpr double coarsest_paper = 0.5;
constexpr double highest_by_paper = 4.0;
// Of a buffer, and of one reading in the food (common practice, no source).
constexpr double buffer_u = 0.02;
constexpr double sample_u = 0.03;
constexpr double one_sided_95 = 1.6448536;

}  // namespace

std::optional<proto::Trouble> no_vinegar(double strength_pct, std::string_view where) {
  if (strength_pct > strongest_pct) {
    return proto::Trouble{
        "acid of " + quantity::plain(strength_pct, 1) + " % is no vinegar: it burns skin and eyes",
        std::string(where),
        "dilute essence by its label first, acid into water; then give percent"};
  }
  if (strength_pct >= weakest_pct) return std::nullopt;
  return proto::Trouble{"vinegar has 0.5 to 10 % of acid", std::string(where),
                        "give percent by the label; 50 grain are 5 %"};
}

proto::Result<AceticAcid> acetic_acid(double strength_pct) {
  if (auto refused = no_vinegar(strength_pct, "strength")) {
    return tl::unexpected<proto::Trouble>(std::move(*refused));
  }
  AceticAcid acid;
  acid.mol_l = strength_pct * 10 / acetic_mole;
  const double k = dissociation;
  acid.ph = -std::log10((-k + std::sqrt(k * k + 4 * k * acid.mol_l)) / 2);
  return acid;
}

namespace {

// What speaks against any reading, by whatever method.
std::optional<proto::Trouble> sample_refused(const PhReading& reading) {
  if (!(reading.ph >= 0 && reading.ph <= 14)) {
    return proto::Trouble{"a pH lies from 0 to 14", "ph", "give what the meter shows"};
  }
  if (!(reading.hours_after >= least_hours)) {
    return proto::Trouble{"acid has not gone through the pieces yet", "hours",
                          "measure a jar that has stood for a day or more"};
  }
  if (!(reading.temperature_c >= coldest_c && reading.temperature_c <= warmest_c)) {
    return proto::Trouble{"the sample is not at room temperature", "temperature",
                          "let it come to 15 to 30 °C"};
  }
  return std::nullopt;
}

PhVerdict verdict_of(const PhJudgement& found, double limit) {
  const double guard = one_sided_95 * found.standard_uncertainty;
  return found.corrected <= limit - guard  ? PhVerdict::within
         : found.corrected > limit + guard ? PhVerdict::over
                                           : PhVerdict::undecided;
}

}  // namespace

proto::Result<PhJudgement> judge_ph(const PhReading& reading, double limit) {
  if (auto trouble = sample_refused(reading)) return tl::unexpected(*trouble);
  if (!(reading.resolution > 0 && reading.resolution <= coarsest)) {
    return proto::trouble("that shows too little for this limit", "resolution",
                          "use a meter that shows a tenth or finer; paper will not do");
  }
  if (!(reading.high_buffer - reading.low_buffer >= 1)) {
    return proto::trouble("the meter was not checked in two buffers", "buffers",
                          "take two a pH or more apart, 4.01 and 7.00, and say what it showed");
  }
  if (!(reading.low_buffer <= highest_low && reading.high_buffer >= lowest_high)) {
    return proto::trouble("the two buffers do not lie on either side of the limit", "buffers",
                          "check the meter in 4.01 and 7.00, and say what it showed");
  }
  const double slope =
      (reading.high_shown - reading.low_shown) / (reading.high_buffer - reading.low_buffer);
  if (std::abs(reading.low_shown - reading.low_buffer) > most_buffer_off ||
      std::abs(reading.high_shown - reading.high_buffer) > most_buffer_off ||
      !(std::abs(slope - 1) <= most_slope_off)) {
    return proto::trouble("the meter is off in its two buffers", "buffers",
                          "rinse it, calibrate it by its maker's instructions, then measure again");
  }
  PhJudgement found;
  found.corrected = reading.low_buffer + (reading.ph - reading.low_shown) / slope;
  const double resolution_u = reading.resolution / std::sqrt(12.0);
  found.standard_uncertainty =
      std::sqrt(buffer_u * buffer_u + sample_u * sample_u + 3 * resolution_u * resolution_u);
  found.verdict = verdict_of(found, limit);
  return found;
}

proto::Result<PhJudgement> judge_ph_paper(const PhReading& reading, double limit) {
  if (auto trouble = sample_refused(reading)) return tl::unexpected(*trouble);
  if (!(reading.resolution > 0 && reading.resolution <= coarsest_paper)) {
    return proto::trouble("that paper shows too little", "resolution",
                          "give the step between two of its colours, half a pH or less");
  }
  if (reading.ph + reading.resolution > highest_by_paper) {
    return proto::trouble("paper is not good enough for a pH of " + quantity::plain(reading.ph, 1),
                          "ph",
                          "above 4.0 take a meter that was checked in two buffers (21 CFR 114.90)");
  }
  PhJudgement found;
  found.corrected = reading.ph;
  // Anything between the two neighbouring colours.
  found.standard_uncertainty = reading.resolution / std::sqrt(3.0);
  found.verdict = verdict_of(found, limit);
  return found;
}

}  // namespace maslin::preserving
