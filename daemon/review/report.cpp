// The tolerance report: one walk over the entries, then what follows from all of them together.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/review/ledger.hpp"
#include "daemon/review/record.hpp"
#include "daemon/review/review.hpp"
#include "daemon/review/standing.hpp"
#include "daemon/review/stands.hpp"
#include "daemon/review/temperatures.hpp"
#include "proto/trouble.hpp"

namespace maslin::review {
namespace {

constexpr std::size_t kHashShown = 16;   // digits of the last hash: enough to hold a paper against
constexpr std::size_t kNoteShown = 300;  // bytes of a note; the diary has all of it

double grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }

std::string shown(const proto::Verdict& verdict) {
  return quantity::grams(verdict.net_ug) + ", band " + band_text(verdict);
}

// Everything a walk over the entries finds out; the newest word on each thing stands.
class Walk {
 public:
  explicit Walk(std::span<const proto::Entry> entries) {
    start_ = start_of(entries);
    if (start_) plan_ = start_->plan;
    for (const proto::Entry& entry : entries) {
      now_ms_ = entry.stamp.at_ms - entries.front().stamp.at_ms;
      if (const auto* input = std::get_if<proto::Input>(&entry.body)) {
        std::visit([this](const auto& body) { take(body); }, *input);
      } else {
        std::visit([this](const auto& body) { take(body); }, std::get<proto::Outcome>(entry.body));
      }
    }
  }

  proto::Report report() {
    report_.formula = plan_.formula;
    report_.factor = plan_.factor;
    report_.provisional = plan_.provisional;
    report_.cautions = plan_.cautions;
    if (start_) {
      report_.batch = start_->batch;
      report_.parent = start_->request.parent;
      if (!report_.vinegar_pct) report_.vinegar_pct = start_->facts.vinegar_pct;
    }
    report_.altitude_m = plan_.altitude_m;
    report_.jar_ml = plan_.jar_ml;
    for (const auto& operation : plan_.operations) {
      if (operation.kind == "water bath") report_.bath_ms = operation.duration_ms;
    }
    std::vector<proto::Weighing> known;
    for (const proto::PlannedIngredient& planned : plan_.ingredients) {
      report_.ingredients.push_back(row(planned));
      if (const auto found = weighings_.find(planned.name); found != weighings_.end()) {
        known.push_back(found->second);
        if (const auto more = more_.find(planned.name); more != more_.end()) {
          known.back().net_ug += more->second;
        }
        if (const auto weak = strength_.find(planned.name); weak != strength_.end()) {
          auto& mass = known.back().net_ug;
          mass = static_cast<std::int64_t>(static_cast<double>(mass) * weak->second);
        }
      }
    }
    report_.ratios = ratios(plan_, known);
    report_.nitrite = nitrite(plan_, report_.ratios);
    report_.may_be_called = may_be_called(plan_, report_.state, report_.ingredients, report_.ratios,
                                          also(), jars_told_);
    open_ends();
    remarks();
    return std::move(report_);
  }

 private:
  template <class T>
  void take(const T&) {}  // says nothing to the report

  void take(const proto::JarsAre& jars) { jars_told_ = jars_told_ || jars.lasting; }

  void take(const proto::PlanFinal& final) { plan_ = final.plan; }
  void take(const proto::BatchState& state) { report_.state = state.state; }
  void take(const proto::Weighing& weighing) {
    if (weighing.how == "amended") {
      // What was recorded first stands beside it.
      const auto before = weighings_.find(weighing.ingredient);
      std::string was = before == weighings_.end()        ? "not weighed"
                        : before->second.indications == 0 ? before->second.how
                                                          : quantity::grams(before->second.net_ug);
      first_.try_emplace(weighing.ingredient, std::move(was));
    }
    weighings_[weighing.ingredient] = weighing;
  }

  void take(const proto::Amended& amended) {
    const auto& amendment = amended.amendment;
    report_.amendments.push_back(
        {now_ms_, amendment_words(amendment),
         "was " + amended.was + ", is " + amended.is +
             (amendment.text.empty() ? "" : "; " + proto::excerpt(amendment.text, kNoteShown))});
    if (amendment.what == "weighed" || amendment.what == "left out") told_.insert(amendment.of);
    if (amendment.what == "added") more_[amendment.of] += amendment.mass_ug;
    if (amendment.what == "brine") add_brine(amendment);
    if (amendment.what == "vinegar") {
      report_.vinegar_pct = amendment.figure;
      strength_[amendment.of] = std::min(1.0, amendment.figure / proto::vinegar_means_pct);
    }
  }

  // `figure`: percent of salt in it.
  void add_brine(const proto::Amendment& amendment) {
    const auto salt_ug = static_cast<std::int64_t>(
        std::llround(static_cast<double>(amendment.mass_ug) * amendment.figure / 100));
    for (const auto& planned : plan_.ingredients) {
      if (planned.counts_as == "salt") more_[planned.name] += salt_ug;
      if (planned.counts_as == "water") more_[planned.name] += amendment.mass_ug - salt_ug;
    }
  }

  // Only the way back into the band is told here. One that stays outside is told by open_ends(),
  // when it is known that nothing more came.
  void take(const proto::Verdict& verdict) {
    const auto before = verdicts_.find(verdict.ingredient);
    if (before != verdicts_.end() && before->second.verdict != "within" &&
        verdict.verdict == "within") {
      report_.deviations.push_back(
          {now_ms_,
           verdict.ingredient + " " + before->second.verdict + ": " + shown(before->second),
           "put right: " + quantity::grams(verdict.net_ug)});
    }
    verdicts_[verdict.ingredient] = verdict;
  }

  // What was accepted has a deviation of its own, with its reason.
  void take(const proto::WayOut& way) {
    if (way.rung == "accepted" || way.rung == "refrigerator") return;
    verdicts_.erase(way.ingredient);
    explained_[way.ingredient] = true;
    report_.deviations.push_back({now_ms_,
                                  way.ingredient + " over: " + quantity::grams(way.net_ug) + ", " +
                                      quantity::grams(way.over_ug) + " too much",
                                  way_words(way)});
  }

  void take(const proto::Deviation& deviation) {
    explained_[deviation.about] = true;
    // No later figure takes these back; a ratio, a mass or a lost boil may be put right.
    const std::string& about = deviation.about;
    if (about == "pH at the end of the ferment") ferment_open_ = about + ", " + deviation.what;
    if (about == "drying time" && deviation.critical && drying_late_.empty()) {
      drying_late_ = about + ", " + deviation.what;
    }
    if (about == "time at the boil" || about == "food left standing" ||
        about == "time of the ferment" || (about == "equilibrium pH" && deviation.critical) ||
        place_was_left(deviation)) {
      left_for_good_.push_back(deviation.about + ", " + deviation.what);
    }
    report_.deviations.push_back(
        {now_ms_,
         deviation.about + ": " + deviation.what + (deviation.critical ? " (critical)" : ""),
         deviation.done});
  }

  // Too near to the limit it speaks against the batch until a meter in the same jar decides.
  void decide(const proto::Finding& finding) {
    if (finding.what != "equilibrium pH") return;
    if (finding.verdict == "within") ferment_open_.clear();
    if (finding.verdict == "undecided") {
      open_ph_[finding.jar] = finding.what +
                              (finding.jar > 0 ? " of jar " + std::to_string(finding.jar) : "") +
                              " " + quantity::plain(finding.value, 2) + ", not decided yet";
    } else if (!finding.verdict.empty() && finding.by == "pH meter") {
      open_ph_.erase(finding.jar);
    }
  }

  void take(const proto::Finding& finding) {
    decide(finding);
    report_.findings.push_back({finding.what, finding.by, finding.verdict, finding.value,
                                2 * finding.standard_uncertainty, finding.limit, finding.detail,
                                finding.jar, now_ms_});
  }

  void take(const proto::Held& held) {
    report_.holds.push_back({held.reason, held.what, now_ms_, std::nullopt, ""});
  }

  // Several holds can be open at once; of one reason the newest is the one that ended.
  void take(const proto::Released& released) {
    for (auto hold = report_.holds.rbegin(); hold != report_.holds.rend(); ++hold) {
      if (hold->reason != released.reason || hold->lasted_ms) continue;
      hold->lasted_ms = now_ms_ - hold->from_ms;
      hold->ended_by = released.by;
      return;
    }
  }

  // The end of the boil is where its time or its temperature was reached, else where filling began.
  void time_the_boil(const proto::Condition& condition) {
    if (condition.what == "boil reached" || condition.what == "dwell began") {
      if (!boils_since_ms_) boils_since_ms_ = now_ms_;
    } else if (condition.what == "dwell done" || condition.what == "temperature reached") {
      if (boils_since_ms_) report_.boiled_ms = now_ms_ - *boils_since_ms_;
    }
  }

  void take(const proto::Condition& condition) {
    time_the_boil(condition);
    if (condition.what == "ok") return;  // what it confirmed has a line of its own
    std::string detail = condition.evidence;
    if (condition.temperature_mk != 0) {
      detail += ", " + quantity::celsius(condition.temperature_mk);
    }
    report_.conditions.push_back({now_ms_, condition_words(condition.what), std::move(detail)});
  }

  void take(const proto::WeighIn& one) {
    report_.conditions.push_back({now_ms_, weigh_in_words(one), "measured"});
  }

  void take(const proto::ZeroEpoch& epoch) {
    report_.epochs.push_back({now_ms_,
                              device_name(start_, epoch.device) + " scale: zero found anew",
                              zero_words(epoch.why)});
  }

  void take(const proto::PhaseBegan& phase) {
    phase_ = phase.kind;
    if (phase.kind != "fill" || !boils_since_ms_) return;
    if (!report_.boiled_ms) report_.boiled_ms = now_ms_ - *boils_since_ms_;
  }

  // A scale goes to sleep between weighings, a thermometer is put away: no deviation.
  bool needed(std::uint16_t device) const {
    if (!start_ || device >= start_->devices.size() || phase_.empty()) return true;
    const proto::Role role = start_->devices[device].role;
    if (role == proto::Role::bench || role == proto::Role::fine) return phase_ == "weigh";
    if (role == proto::Role::pan) return phase_ == "heat" || phase_ == "dwell";
    if (role == proto::Role::room)
      return false;  // as long as it was away counts in its place's sums
    if (role == proto::Role::canner) return phase_ == "wait" || phase_ == "water bath";
    return true;
  }

  // A loss is one line, which is finished when the device is back.
  void take(const proto::DeviceEvent& event) {
    const std::string name = device_name(start_, event.device);
    if (event.what == "lost" || event.what == "silent") {
      if (away_.contains(event.device)) return;
      if (event.what == "silent" && !needed(event.device)) return;
      away_[event.device] = report_.deviations.size();
      report_.deviations.push_back({now_ms_, name + " " + event.what, event.why});
    } else if (const auto found = away_.find(event.device); found != away_.end()) {
      proto::ReportEvent& told = report_.deviations[found->second];
      told.detail += (told.detail.empty() ? "" : "; ") + event.what + " after " +
                     quantity::span_of_time(now_ms_ - told.from_ms);
      away_.erase(found);
    }
  }

  void take(const proto::Suspend& suspend) {
    report_.deviations.push_back({now_ms_, "the machine slept",
                                  "not watched for " + quantity::span_of_time(suspend.gap_ms)});
  }
  void take(const proto::ClockStep& step) {
    report_.deviations.push_back(
        {now_ms_, "the clock was set",
         "by " + quantity::span_of_time(step.step_ms) + "; no duration changed"});
  }
  void take(const proto::Restart& restart) {
    // What stands for weeks is not watched at night: the sums of its place tell how long.
    if (phase_ == "stand") return;
    report_.deviations.push_back({now_ms_, "the daemon was started again",
                                  "not watched for " + quantity::span_of_time(restart.gap_ms)});
  }
  void take(const proto::StoreEvent& event) {
    report_.deviations.push_back(
        {now_ms_,
         event.failing ? "the record could not be written" : "the record could be written again",
         event.why});
  }
  void take(const proto::Rated& rated) {
    const auto newest = [](std::string& known, const std::string& said) {
      if (!said.empty()) known = said;
    };
    newest(report_.set, rated.rating.set);
    newest(report_.heat, rated.rating.heat);
    newest(report_.pieces, rated.rating.pieces);
    report_.outcomes.push_back({rated.after_ms, rating_words(rated.rating),
                                proto::excerpt(rated.rating.text, kNoteShown)});
  }
  void take(const proto::Noted& note) {
    report_.remarks.push_back("Note at " + quantity::clock_of(now_ms_) + ": " +
                              proto::excerpt(note.text, kNoteShown));
  }

  proto::ReportIngredient row(const proto::PlannedIngredient& planned) const {
    proto::ReportIngredient row;
    row.name = planned.name;
    row.amount = planned.amount;
    row.aim_g = grams(planned.aim_ug);
    row.lower_g = grams(planned.lower_ug);
    row.upper_g = grams(planned.upper_ug);
    row.critical = planned.critical;
    row.verdict = "not weighed";
    const auto weighing = weighings_.find(planned.name);
    if (weighing == weighings_.end()) return row;
    row.how = weighing->second.how;
    if (const auto first = first_.find(planned.name); first != first_.end()) {
      row.amended = "was " + first->second;
    }
    // Without an indication there is no mass: the cook took it by the spoon.
    if (weighing->second.indications == 0) return row;
    row.weighed_g = grams(weighing->second.net_ug);
    if (told_.contains(planned.name)) {
      row.how = "told by the cook";  // how far off a word is nobody knows
    } else {
      row.standard_uncertainty_g = grams(weighing->second.standard_uncertainty_ug);
      row.expanded_uncertainty_g = grams(weighing->second.expanded_uncertainty_ug);
    }
    row.deviation_g = grams(weighing->second.net_ug - planned.aim_ug);
    const auto verdict = verdicts_.find(planned.name);
    if (verdict == verdicts_.end()) {
      row.verdict = "undecided";
      return row;
    }
    row.verdict = verdict->second.verdict;
    if (row.verdict != "within" && verdict->second.accepted) row.verdict = "accepted";
    return row;
  }

  // What speaks against the batch beside its masses: among them acids of less strength than a batch
  // for the shelf asks for.
  std::vector<std::string> also() const {
    std::vector<std::string> found = left_for_good_;
    if (!drying_late_.empty()) found.push_back(drying_late_);
    for (const auto& [jar, open] : open_ph_) found.push_back(open);
    if (!ferment_open_.empty()) found.push_back(ferment_open_);
    for (const auto& [name, strength] : strength_) {
      if (strength >= 1 || plan_.keeping != "shelf") continue;
      found.push_back("the " + name + " had " +
                      quantity::plain(strength * proto::vinegar_means_pct, 2) + " % acid, not " +
                      quantity::plain(proto::vinegar_means_pct, 0) + " %");
    }
    return found;
  }

  // What was not put right and what nobody decided on must stand there too.
  void open_ends() {
    for (const auto& ingredient : report_.ingredients) {
      if (!ingredient.weighed_g || ingredient.verdict == "within" ||
          ingredient.verdict == "accepted" || explained_.contains(ingredient.name)) {
        continue;
      }
      const auto verdict = verdicts_.find(ingredient.name);
      if (verdict == verdicts_.end()) continue;
      report_.deviations.push_back(
          {now_ms_, ingredient.name + " " + ingredient.verdict + ": " + shown(verdict->second),
           "nothing was done about it"});
    }
  }

  // What the reader must know before the figures; the cook's own notes come after it.
  void remarks() {
    std::vector<std::string> found;
    if (report_.state != "complete") {
      found.push_back("Unfinished: the batch is " +
                      (report_.state.empty() ? std::string("not begun") : report_.state) + ".");
    }
    if (report_.provisional) {
      found.push_back("Provisional: the " + plan_.lead +
                      " was never weighed, so all amounts rest on a guess.");
    }
    for (const auto& ingredient : report_.ingredients) {
      if (ingredient.how == "entered") {
        found.push_back("Entered by hand: " + ingredient.name + ".");
      } else if (!ingredient.how.empty() && !ingredient.weighed_g) {
        found.push_back("By measure, not weighed: " + ingredient.name + ", " + ingredient.amount +
                        ".");
      } else if (!ingredient.weighed_g) {
        found.push_back("Not weighed: " + ingredient.name + ".");
      }
    }
    report_.remarks.insert(report_.remarks.begin(), found.begin(), found.end());
  }

  const proto::Start* start_ = nullptr;
  proto::Plan plan_;
  proto::Report report_;
  std::int64_t now_ms_ = 0;
  std::optional<std::int64_t> boils_since_ms_;
  std::vector<std::string> left_for_good_;  // critical limits
  std::string drying_late_;
  std::map<std::int64_t, std::string> open_ph_;  // jar, 0: of all
  std::string ferment_open_;                     // not found to be acid enough; what was found
  bool jars_told_ = false;  // what to do with jars for as long as they are there
  std::map<std::string, proto::Weighing> weighings_;
  std::map<std::string, proto::Verdict> verdicts_;
  std::set<std::string> told_;                // what it weighs is the cook's word
  std::map<std::string, std::string> first_;  // ingredient -> what was recorded before
  std::map<std::string, std::int64_t> more_;  // went in after it was weighed
  std::map<std::string, double> strength_;    // acid -> share of its mass that counts
  std::map<std::string, bool> explained_;
  std::string phase_;                          // kind of the operation that runs
  std::map<std::uint16_t, std::size_t> away_;  // device -> its line in deviations
};

}  // namespace

std::string way_words(const proto::WayOut& way) {
  if (way.rung == "taken out") return "put right: taken out again";
  std::string text =
      way.rung == "topped up" ? "put right: topped up"
      : way.rung == "larger batch"
          ? "put right: a batch " + quantity::plain(way.factor, 3) + " times as large"
      : way.rung == "refrigerator" ? "kept for the refrigerator"
      : way.rung == "start again"  ? "the batch was given up for a new one"
                                   : way.rung;
  for (const auto& one : way.additions) {
    text += ", " + quantity::grams(one.add_ug) + " more " + one.ingredient;
  }
  return text;
}

std::string weigh_in_words(const proto::WeighIn& one) {
  std::string text = "Weigh-in " + std::to_string(one.number) + ": " + quantity::grams(one.net_ug) +
                     " of " + quantity::grams(one.begin_ug) + " left, standard uncertainty " +
                     quantity::plain(grams(one.standard_uncertainty_ug), 1) + " g; dry at " +
                     quantity::grams(one.target_ug);
  if (one.left_ms > 0) {
    text += ", foretold in " + quantity::span_of_time(one.left_ms) + ", likely " +
            quantity::span_of_time(one.left_from_ms) + " to " +
            quantity::span_of_time(one.left_to_ms);
  }
  return text;
}

std::string refused_words(const proto::WayOut& way) {
  std::string text;
  for (const auto& one : way.refused) text += "; not " + one.rung + ": " + one.why;
  return text;
}

std::string rating_words(const proto::Rating& rating) {
  std::string text;
  const auto add = [&](const char* what, const std::string& how) {
    if (!how.empty()) text += (text.empty() ? "" : ", ") + std::string(what) + " " + how;
  };
  add("set", rating.set);
  add("heat", rating.heat);
  add("pieces", rating.pieces);
  return text;
}

std::string finding_words(const proto::Finding& finding) {
  const bool percent = finding.what == "soluble solids";
  const bool ph = finding.what == "equilibrium pH";
  const int digits = ph ? 2 : percent ? 1 : 0;
  const std::string unit = percent                            ? " %"
                           : ph                               ? ""
                           : finding.what.starts_with("mass") ? " g"
                                                              : " mL";
  return finding.what + ", " + finding.by + ": " + quantity::plain(finding.value, digits) + " ± " +
         quantity::plain(2 * finding.standard_uncertainty, digits) + unit +
         (finding.limit > 0 ? ", limit " + quantity::plain(finding.limit, digits) : "") +
         (finding.verdict.empty() ? "" : ": " + finding.verdict) +
         (finding.detail.empty() ? "" : " (" + finding.detail + ")");
}

std::string amendment_words(const proto::Amendment& amendment) {
  const std::string& what = amendment.what;
  if (what == "swapped") return amendment.of + " and " + amendment.with + " swapped";
  if (what == "lot") return "lot of " + amendment.of;
  if (what == "added") return "more " + amendment.of;
  if (what == "brine") return "more of the same brine";
  if (what == "vinegar") return "strength of the " + amendment.of;
  return amendment.of.empty() ? what : amendment.of;
}

std::string device_name(const proto::Start* start, int device) {
  if (start && device >= 0 && static_cast<std::size_t>(device) < start->devices.size()) {
    const auto role = proto::name(start->devices[static_cast<std::size_t>(device)].role);
    if (!role.empty()) return std::string(role);
  }
  return "device " + std::to_string(device);
}

bool place_was_left(const proto::Deviation& deviation) {
  const std::string& about = deviation.about;
  return (about == "cold chain" || about == "temperature while it stands" ||
          about == "temperature while it dries") &&
         !deviation.what.starts_with("not measured");
}

std::string condition_words(const std::string& what) {
  if (what == "dwell began") return "the time began to count";
  if (what == "dwell paused") return "the time stood still";
  if (what == "dwell not watched") return "nothing watched the pan";
  if (what == "dwell done") return "the time was over";
  if (what == "boil reached") return "it boiled";
  if (what == "temperature reached") return "it was hot enough";
  if (what == "prepare done") return "prepared";
  if (what == "fill done") return "filled";
  if (what == "cool done") return "cooled";
  if (what == "canner boils") return "the canner boiled";
  if (what == "canner on the heat") return "the canner went on the heat";
  if (what == "pan called for") return "the pan was called for";
  if (what == "seal check done") return "the seals were tested";
  if (what == "stand done") return "it had stood for its time";
  return what;
}

std::string zero_words(const std::string& why) {
  if (why == "lost and back") return "the scale was away and came back";
  if (why == "its host restarted") return "the scale was connected again";
  if (why == "zeroed with a load on") return "its zero key was pressed with something on it";
  return why;
}

std::string band_text(const proto::Verdict& verdict) {
  const int decimals = verdict.upper_ug < 20'000'000 ? 2 : 1;
  return quantity::plain(grams(verdict.lower_ug), decimals) + " to " +
         quantity::plain(grams(verdict.upper_ug), decimals) + " g";
}

proto::Report report(std::span<const proto::Entry> entries,
                     std::span<const proto::Reading> readings, std::string_view last_hash) {
  proto::Report report = Walk(entries).report();
  if (!entries.empty()) report.started_utc = quantity::utc_text(entries.front().stamp.utc_ms);
  report.jars = jars_of(entries);
  report.temperatures = temperatures(entries, readings);
  report.stands = stands(entries);
  report.chain = std::string(last_hash.substr(0, kHashShown));
  return report;
}

}  // namespace maslin::review
