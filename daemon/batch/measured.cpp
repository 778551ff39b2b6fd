// The judgements of measured.hpp.
#include "daemon/batch/measured.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/preserving/acidity.hpp"
#include "daemon/preserving/syrup.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::batch {
namespace {

using preserving::PhJudgement;
using preserving::PhVerdict;
using proto::Measured;
using proto::Trouble;
using quantity::plain;

constexpr double hour_ms = 3'600'000;
constexpr const char* ph_about = "equilibrium pH";
// Of a hand refractometer and of one spoon of the pan (common practice, no source).
constexpr double sample_pct = 0.5;

// Each jar's question is its own; jar 0: of all of them.
std::string ph_open(std::int64_t jar) {
  return std::string(ph_about) + (jar > 0 ? " of jar " + std::to_string(jar) : "") +
         ", not decided yet";
}

std::optional<std::int64_t> process_end_ms(const Desk& desk) {
  if (desk.bath_ended_ms) return desk.bath_ended_ms;
  if (!desk.jars.filled() || desk.plan.keeping == "shelf") return std::nullopt;
  return desk.jars.filled_ms();
}

double hours_after(const Desk& desk, const Measured& measured, std::int64_t at_ms) {
  const double so_far = static_cast<double>(at_ms - *process_end_ms(desk)) / hour_ms;
  return measured.hours.value_or(so_far);
}

// Meat, and what is dried: salt and dryness keep them, if anything does.
bool no_acid_keeps(const proto::Plan& plan) {
  return has_meat(plan) || std::any_of(plan.operations.begin(), plan.operations.end(),
                                       [](const auto& one) { return one.kind == "dry"; });
}

// The formula's own limit, and for the shelf never more than the regulation's; 0: there is none.
double limit_of(const Desk& desk) {
  const double own = desk.plan.most_ph;
  if (desk.plan.keeping != "shelf") return own;
  return own > 0 ? std::min(own, preserving::kAcidifiedPh) : preserving::kAcidifiedPh;
}

proto::Result<PhJudgement> judge(const Desk& desk, const Measured& measured, std::int64_t at_ms,
                                 double limit) {
  preserving::PhReading reading;
  reading.ph = measured.value;
  reading.temperature_c = measured.temperature_c;
  reading.hours_after = hours_after(desk, measured, at_ms);
  reading.resolution = measured.interval;
  if (measured.with == "paper") return preserving::judge_ph_paper(reading, limit);
  reading.low_buffer = measured.low_buffer;
  reading.low_shown = measured.low_shown;
  reading.high_buffer = measured.high_buffer;
  reading.high_shown = measured.high_shown;
  return preserving::judge_ph(reading, limit);
}

std::optional<Trouble> ph_refused(const Desk& desk, const Measured& measured, std::int64_t at_ms) {
  if (measured.with != "meter" && measured.with != "paper") {
    return Trouble{"how was it measured?", "with", "say meter or paper"};
  }
  if (measured.with == "paper" && desk.ferment.waits && desk.ferment.by_meter &&
      !desk.ferment.reached) {
    return Trouble{"a meter has found pH " + plain(*desk.ferment.ph, 2) +
                       " here, and paper is the worse of the two",
                   "with", "measure it with the meter again"};
  }
  if (limit_of(desk) == 0 && no_acid_keeps(desk.plan)) {
    return Trouble{"no acid keeps this food: a pH would say nothing of it", "",
                   "write most_ph or end_ph in the formula where its source states one; a note "
                   "keeps the figure: maslin note"};
  }
  if (!process_end_ms(desk)) {
    return Trouble{"the jars are not through yet", "batch",
                   "measure one that has stood for a day or more after its process"};
  }
  const double so_far = static_cast<double>(at_ms - *process_end_ms(desk)) / hour_ms;
  if (measured.hours && !(*measured.hours >= 0 && *measured.hours <= so_far + 0.1)) {
    return Trouble{"the process ended " + plain(so_far, 1) + " hours ago", "hours",
                   "give the hours from its end to the reading, or leave them out"};
  }
  if (measured.jar != 0 && (measured.jar < 1 || measured.jar > desk.jars.count())) {
    return Trouble{"there is no jar " + std::to_string(measured.jar), "jar",
                   "the batch has jars 1 to " + std::to_string(desk.jars.count())};
  }
  const auto judged = judge(desk, measured, at_ms, preserving::kAcidifiedPh);
  if (!judged) return judged.error();
  return std::nullopt;
}

// What a refractometer shows, at 20 °C.
proto::Result<double> solids_at_20(const Measured& measured) {
  if (measured.with == "refractometer that corrects itself") return measured.value;
  const auto more = preserving::refraction_correction_pct(measured.value, measured.temperature_c);
  if (!more) return tl::unexpected(more.error());
  return measured.value + *more;
}

std::optional<Trouble> solids_refused(const Desk& desk, const Measured& measured) {
  if (no_acid_keeps(desk.plan)) {
    return Trouble{"nothing is boiled down in this batch: its solids are not followed", "",
                   "a note keeps the figure: maslin note"};
  }
  if (measured.with != "refractometer" && measured.with != "refractometer that corrects itself") {
    return Trouble{"'" + proto::excerpt(measured.with, 40) + "' measures no solids", "with",
                   "say refractometer, or refractometer that corrects itself"};
  }
  if (!(measured.value > 0 && measured.value <= preserving::kMostRefractivePct)) {
    return Trouble{"solids lie from 0 to 80 percent", "value", "give what the refractometer shows"};
  }
  if (!(measured.interval >= 0 && measured.interval <= 5)) {
    return Trouble{"no refractometer has such steps", "interval", "give its last digit, 0.1"};
  }
  const auto found = solids_at_20(measured);
  if (!found) return found.error();
  return std::nullopt;
}

void take_solids(Desk& desk, const Measured& measured) {
  const double at_20 = *solids_at_20(measured);
  const double shift = at_20 - measured.value;
  const double u = std::hypot(sample_pct, std::max(measured.interval, 0.1) / std::sqrt(12.0));
  const std::string detail = measured.with == "refractometer"
                                 ? plain(measured.value, 1) + " % at " +
                                       plain(measured.temperature_c, 1) + " °C, " +
                                       (shift < 0 ? "less " : "and ") + plain(std::abs(shift), 2) +
                                       " % to bring it to 20 °C; as sucrose"
                                 : "it corrects its temperature itself; as sucrose";
  desk.advice.push_back(plain(at_20, 1) + " ± " + plain(2 * u, 1) + " % of solids (" + detail +
                        ").");
  desk.solids.refracted(desk, {at_20, u}, detail);
}

// Until a better reading decides, the batch has left its limit.
void ph_undecided(Desk& desk, const proto::Finding& finding) {
  const std::string open = ph_open(finding.jar);
  desk.emit(proto::Deviation{open, true,
                             plain(finding.value, 2) + " lies too near to the limit of " +
                                 plain(finding.limit, 2) + " for this method",
                             "told the cook: cold until a better reading decides"});
  desk.limit_kept(open, false);
  desk.jars.bar(desk, "its pH is too near to the limit");
}

// What was open of one jar is decided by a meter in that jar: paper is the worse method, and
// another jar is another question. True where it was open.
bool ph_decided(Desk& desk, const Measured& measured) {
  const std::string about = ph_open(measured.jar);
  const bool open =
      std::find(desk.left_limits.begin(), desk.left_limits.end(), about) != desk.left_limits.end();
  if (!open || measured.with != "meter") return false;
  desk.limit_kept(about, true);
  return true;
}

void ph_over(Desk& desk, const proto::Finding& finding) {
  const bool known = std::find(desk.left_limits.begin(), desk.left_limits.end(), ph_about) !=
                     desk.left_limits.end();
  const bool ferment = std::any_of(desk.plan.operations.begin(), desk.plan.operations.end(),
                                   [](const auto& one) { return one.end_ph > 0; });
  const bool was_not_sour = desk.ferment.not_sour;
  // It has stood warm, and no acid has kept it.
  if (ferment && finding.value > preserving::kAcidifiedPh) desk.ferment.not_sour = true;
  desk.emit(proto::Deviation{
      ph_about, true, plain(finding.value, 2) + ", over the limit of " + plain(finding.limit, 2),
      "measured afterwards"});
  desk.limit_kept(ph_about, false);
  if (!known || desk.ferment.not_sour != was_not_sour) {
    desk.jars.bar(desk, "its pH is over the limit");
  }
}

// While it stands: it may grow more acid yet.
void ferment_told(Desk& desk, const Measured& measured, const proto::Finding& finding) {
  desk.ferment.ph = finding.value;
  desk.ferment.by_meter = measured.with == "meter";
  desk.ferment.reached = finding.verdict == "within";
  desk.ferment.not_sour =
      judge(desk, measured, desk.now_ms, preserving::kAcidifiedPh)->verdict != PhVerdict::within;
  if (desk.ferment.reached) return;
  desk.advice.push_back(
      desk.ferment.not_sour
          ? "Not sour, over 4.6 or too near to it to tell: do not taste it. Let it stand on and "
            "measure again tomorrow; if it stays so, discard it."
          : "Not there yet, or too near to tell: let it stand on and measure again tomorrow.");
}

void take_ph(Desk& desk, const Measured& measured) {
  const double limit = limit_of(desk);
  const auto judged =
      *judge(desk, measured, desk.now_ms, limit > 0 ? limit : preserving::kAcidifiedPh);
  proto::Finding finding;
  finding.what = ph_about;
  finding.by = measured.with == "paper" ? "pH paper" : "pH meter";
  finding.value = judged.corrected;
  finding.standard_uncertainty = judged.standard_uncertainty;
  finding.limit = limit;
  finding.jar = measured.jar;
  if (limit > 0) {
    finding.verdict = judged.verdict == PhVerdict::within ? "within"
                      : judged.verdict == PhVerdict::over ? "over"
                                                          : "undecided";
  }
  // A ferment that stands on grows more acid yet; what it is now is no deviation.
  const bool not_yet =
      desk.ferment.waits && !finding.verdict.empty() && finding.verdict != "within";
  if (not_yet) finding.verdict = "not there yet";
  finding.detail = plain(hours_after(desk, measured, desk.now_ms), 1) +
                   " h after the process, sample at " + plain(measured.temperature_c, 1) + " °C";
  if (measured.with == "meter") {
    finding.detail += "; buffers " + plain(measured.low_buffer, 2) + " shown as " +
                      plain(measured.low_shown, 2) + ", " + plain(measured.high_buffer, 2) +
                      " as " + plain(measured.high_shown, 2);
  }
  desk.advice.push_back("pH " + plain(finding.value, 2) + " ± " +
                        plain(2 * finding.standard_uncertainty, 2) +
                        (limit > 0 ? ", limit " + plain(limit, 2) + ": " + finding.verdict + "."
                                   : ", no limit here."));
  desk.emit(finding);
  if (desk.ferment.waits) ferment_told(desk, measured, finding);
  if (finding.verdict == "over") {
    ph_decided(desk, measured);
    ph_over(desk, finding);
    desk.advice.push_back(
        "Not for the shelf. Do not taste what stood warm; maslin jars says what each jar needs.");
  } else if (finding.verdict == "within") {
    // A jar that is better does not mend one that was over.
    const bool ferment = std::find(desk.left_limits.begin(), desk.left_limits.end(),
                                   ferment_about) != desk.left_limits.end();
    if (ferment) desk.limit_kept(ferment_about, true);
    if ((ph_decided(desk, measured) || ferment) && desk.left_limits.empty()) {
      desk.jars.unbar(desk);
    }
  } else if (finding.verdict == "undecided") {
    ph_undecided(desk, finding);
    desk.advice.push_back(
        "Too near to the limit for this method: all jars into the refrigerator until a better "
        "meter, or a laboratory, decides.");
  }
}

}  // namespace

std::optional<Trouble> measured_refused(const Desk& desk, const Measured& measured,
                                        std::int64_t at_ms) {
  if (auto trouble = too_long(measured.text)) return trouble;
  if (measured.what == "solids") return solids_refused(desk, measured);
  if (measured.what == "ph") return ph_refused(desk, measured, at_ms);
  return Trouble{"'" + proto::excerpt(measured.what, 40) + "' is nothing that is measured here",
                 "what", "say solids or ph"};
}

void take_measured(Desk& desk, const Measured& measured) {
  if (measured.what == "solids") take_solids(desk, measured);
  if (measured.what == "ph") take_ph(desk, measured);
}

}  // namespace maslin::batch
