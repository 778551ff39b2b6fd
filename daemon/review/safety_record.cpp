// The safety record of one batch: every critical limit with what was measured or seen, and what was
// not, in one table; what went wrong and was done about it; where each jar is. What `maslin record`
// shows.
#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/review/record.hpp"
#include "daemon/review/review.hpp"
#include "daemon/weighing/scale_budget.hpp"
#include "proto/decimals.hpp"

namespace maslin::review {
namespace {

using proto::SafetyLimit;
using quantity::plain;

constexpr const char* kNotMeasured = "not measured";
constexpr double one_sided_95 = 1.645;

// What was found true, and when.
struct Found {
  proto::Condition condition;
  std::int64_t utc_ms = 0;
  std::int64_t at_ms = 0;  // of the batch: no clock that is set changes it
};

class Collector {
 public:
  explicit Collector(std::span<const proto::Entry> entries) : start_(start_of(entries)) {
    if (start_ != nullptr) plan_ = start_->plan;
    for (const auto& entry : entries) {
      if (const auto* plan = as<proto::PlanFinal>(entry)) plan_ = plan->plan;
      if (const auto* phase = as<proto::PhaseBegan>(entry); phase && phase->ingredient.empty()) {
        operation_ = phase->operation;
        if (phase->kind == "stand" || phase->kind == "dry") stood_utc_ms_[operation_] = 0;
      }
      if (const auto* condition = as<proto::Condition>(entry)) {
        found_.push_back({operation_, {*condition, entry.stamp.utc_ms, entry.stamp.at_ms}});
      }
      if (as<proto::Stood>(entry) != nullptr) stood_utc_ms_[operation_] = entry.stamp.utc_ms;
      if (const auto* late = as<proto::Deviation>(entry);
          late && late->about == "drying time" && late->critical && late_dry_.empty()) {
        late_dry_ = late->what;
      }
      if (const auto* weigh_in = as<proto::WeighIn>(entry)) {
        weighed_in_ = *weigh_in;
        if (weigh_in->number == 1) loaded_ms_ = entry.stamp.at_ms;
      }
      if (const auto* amended = as<proto::Amended>(entry);
          amended && amended->amendment.what == "vinegar") {
        told_strength_.push_back(amended->amendment.of);
      }
      if (const auto* weighing = as<proto::Weighing>(entry)) {
        weighed_on_[weighing->ingredient] = weighing->device;
      }
    }
  }

  std::vector<SafetyLimit> limits(const proto::Report& report) const {
    std::vector<SafetyLimit> all;
    for (std::size_t i = 0; i < report.ratios.size(); ++i) {
      const auto& planned = plan_.ratios.at(i);  // the rows of the report are in its order
      const auto names = [&](const std::string& name) {
        return is_in(planned.of_names, name) || is_in(planned.per_names, name);
      };
      all.push_back(of(report.ratios[i], how_known(report, names)));
    }
    if (report.nitrite) {
      const auto names = [&](const std::string& name) {
        return std::any_of(plan_.ingredients.begin(), plan_.ingredients.end(),
                           [&](const auto& one) {
                             return one.name == name &&
                                    (one.counts_as == "curing salt" || one.counts_as == "meat");
                           });
      };
      all.push_back(of(*report.nitrite, how_known(report, names)));
    }
    for (const auto& ingredient : report.ingredients) {
      if (ingredient.critical) all.push_back(of(ingredient));
    }
    vinegar(report, all);
    for (std::size_t i = 0; i < plan_.operations.size(); ++i) {
      step(static_cast<int>(i), plan_.operations[i], report, all);
    }
    auto told_utc_ms = stood_utc_ms_.begin();  // the rows of the report are in this order
    for (const auto& stand : report.stands) {
      if (!stand.bounds.empty() || stand.time_ms == 0) {
        all.push_back(of(stand, told_utc_ms->second));
      }
      ++told_utc_ms;
    }
    if (plan_.longest_boil_ms > 0) all.push_back(longest_boil(report));
    acidity(report, all);
    return all;
  }

  std::vector<proto::SafetyDevice> devices() const {
    std::vector<proto::SafetyDevice> all;
    if (start_ == nullptr) return all;
    for (const auto& one : start_->devices) {
      if (one.description.quantity == proto::Quantity::press) continue;  // a pedal measures nothing
      const std::string known = one.calibration ? weighing::words(*one.calibration)
                                : one.probe     ? quantity::words(*one.probe)
                                                : "never calibrated here";
      std::string shows;
      if (one.description.interval_ug > 0) shows = quantity::grams(one.description.interval_ug);
      all.push_back({std::string(proto::name(one.role)), one.description.id, shows, known});
    }
    return all;
  }

  const proto::Plan& plan() const { return plan_; }
  const proto::Start* start() const { return start_; }

 private:
  std::optional<Found> last(int operation, std::string_view what) const {
    std::optional<Found> newest;
    for (const auto& [at, one] : found_) {
      if ((operation < 0 || at == operation) && one.condition.what == what) newest = one;
    }
    return newest;
  }
  std::int64_t count(int operation, std::string_view what) const {
    return std::count_if(found_.begin(), found_.end(), [&](const auto& one) {
      return one.first == operation && one.second.condition.what == what;
    });
  }

  static bool is_in(const std::vector<std::string>& all, const std::string& name) {
    return std::find(all.begin(), all.end(), name) != all.end();
  }
  // What one of the ingredients that it is made of weighs may be the cook's word.
  template <class Names>
  const char* how_known(const proto::Report& report, const Names& names) const {
    const bool told =
        std::any_of(told_strength_.begin(), told_strength_.end(), names) ||
        std::any_of(report.ingredients.begin(), report.ingredients.end(),
                    [&](const auto& one) { return !one.amended.empty() && names(one.name); });
    return told ? "measured, and told by the cook" : "measured";
  }

  static SafetyLimit of(const proto::ReportRatio& ratio, const char* how) {
    SafetyLimit limit{ratio.of + " per " + ratio.per,
                      (ratio.least ? "at least " : "at most ") + plain(ratio.limit, 6),
                      "",
                      kNotMeasured,
                      "",
                      "not confirmed",
                      ""};
    if (ratio.achieved) {
      // Three digits of the limit: curing salt is a few thousandths of the meat.
      const int decimals = ratio.limit < 0.01 ? 5 : ratio.limit < 0.1 ? 4 : 3;
      limit.found = plain(*ratio.achieved, decimals);
      if (ratio.expanded_uncertainty) {
        limit.found += " ± " + plain(*ratio.expanded_uncertainty, decimals) + " (95 %)";
      }
      limit.how = how;
    }
    if (ratio.verdict != "not weighed") limit.verdict = ratio.verdict;
    return limit;
  }

  static SafetyLimit of(const proto::ReportNitrite& nitrite, const char* how) {
    return {"sodium nitrite that goes in",
            "at most " + plain(nitrite.most_ppm, 0) + " ppm, " + nitrite.product + " (" +
                nitrite.source + ")",
            plain(nitrite.ppm, 0) + " ± " + plain(nitrite.expanded_uncertainty_ppm, 0) +
                " ppm (95 %), mix of " + plain(nitrite.label_pct, 2) + " % by its label",
            how,
            "",
            nitrite.verdict,
            ""};
  }

  // `told_utc_ms`: when its sums were told last; 0 never.
  static SafetyLimit of(const proto::ReportStand& stand, std::int64_t told_utc_ms) {
    const auto span = [](std::int64_t ms) { return quantity::span_of_time(ms); };
    // What dries has no time of its own.
    SafetyLimit line{stand.time_ms > 0 ? "temperature while it stands, " + span(stand.time_ms)
                                       : "temperature while it dries",
                     stand.bounds.empty()
                         ? "none stated by the formula"
                         : stand.bounds + ", outside at most " + span(stand.outside_most_ms) +
                               ", no gap over " + span(stand.gap_most_ms),
                     "",
                     stand.evidence,
                     stand.device,
                     "not confirmed",
                     ""};
    if (stand.coldest_c && stand.warmest_c) {
      line.found = plain(*stand.coldest_c, 1) + " to " + plain(*stand.warmest_c, 1) + " °C; ";
    }
    if (stand.evidence == kNotMeasured) return line;
    if (stand.bounds.empty()) {
      line.found += span(stand.inside_ms) + " measured, " + span(stand.unmeasured_ms) + " not";
      line.verdict = "not judged";
      return line;
    }
    if (told_utc_ms > 0) {
      line.at_utc = quantity::utc_text(told_utc_ms);
      if (!stand.done) line.found += "until " + line.at_utc + ": ";
    }
    line.found += span(stand.inside_ms) + " inside, " + span(stand.outside_ms) + " outside, " +
                  span(stand.unmeasured_ms) + " not measured, longest gap " +
                  span(stand.longest_gap_ms);
    if (stand.outside_ms > stand.outside_most_ms) {
      line.verdict = "broken";
    } else if (stand.done) {
      const bool by_word =
          stand.evidence == "seen by the cook" ||
          (stand.evidence != "by the clock" && stand.longest_gap_ms > stand.gap_most_ms);
      line.verdict = by_word ? "kept by the cook's word" : "kept";
    }
    return line;
  }

  SafetyLimit of(const proto::ReportIngredient& row) const {
    const int places = row.upper_g < 20 ? 2 : 1;
    SafetyLimit limit{
        row.name, plain(row.lower_g, places) + " to " + plain(row.upper_g, places) + " g",
        "",       kNotMeasured,
        "",       row.verdict,
        ""};
    if (row.weighed_g) {
      const int decimals =
          row.expanded_uncertainty_g ? proto::decimals_for(*row.expanded_uncertainty_g) : places;
      limit.found = plain(*row.weighed_g, decimals) + " g";
      if (!row.amended.empty()) {
        limit.how = "told by the cook";
        return limit;
      }
      if (row.expanded_uncertainty_g) {
        limit.found +=
            " ± " + plain(*row.expanded_uncertainty_g, std::max(decimals, 1)) + " g (95 %)";
      }
      limit.how = "measured";
      const auto device = weighed_on_.find(row.name);
      if (device != weighed_on_.end() && device->second >= 0) {
        limit.device = device_name(start_, device->second);
      }
    } else if (!row.how.empty()) {
      limit.how = row.how;
    }
    return limit;
  }

  void vinegar(const proto::Report& report, std::vector<SafetyLimit>& all) const {
    const bool counts = std::any_of(plan_.ingredients.begin(), plan_.ingredients.end(),
                                    [](const auto& one) { return one.counts_as == "acid"; });
    if (!counts) return;
    SafetyLimit limit{"acid in the vinegar",
                      "at least " + plain(proto::vinegar_means_pct, 0) + " %",
                      "",
                      "not told",
                      "",
                      "not confirmed",
                      ""};
    if (report.vinegar_pct) {
      limit.found = plain(*report.vinegar_pct, 2) + " %";
      limit.how = "told by the cook, from the label";
      limit.verdict = *report.vinegar_pct >= proto::vinegar_means_pct ? "kept" : "broken";
    }
    all.push_back(limit);
  }

  // Every reading, since a batch may differ from jar to jar; without one it stands there as well.
  void acidity(const proto::Report& report, std::vector<SafetyLimit>& all) const {
    const std::string limit =
        plan_.most_ph > 0          ? "at most " + plain(plan_.most_ph, 2) + ", the formula's"
        : plan_.keeping == "shelf" ? "at most 4.6 where acid keeps it (21 CFR 114)"
                                   : "none stated";
    bool any = false;
    for (const auto& one : report.findings) {
      if (one.what != "equilibrium pH") continue;
      any = true;
      all.push_back({"equilibrium pH of the product" +
                         (one.jar > 0 ? ", jar " + std::to_string(one.jar) : std::string()),
                     limit,
                     plain(one.value, 2) + " ± " + plain(one.expanded_uncertainty, 2) +
                         " (95 %); " + one.detail,
                     "told by the cook, " + one.by, "",
                     one.verdict == "within" ? "kept"
                     : one.verdict.empty()   ? "not judged"
                                             : one.verdict,
                     ""});
    }
    if (any || (plan_.keeping != "shelf" && plan_.most_ph <= 0)) return;
    all.push_back(
        {"equilibrium pH of the product", limit, "", kNotMeasured, "", "not confirmed", ""});
  }

  // `pot`: whose thermometer it is where it was measured.
  static SafetyLimit met(std::string what, std::string limit, const std::optional<Found>& found,
                         const char* pot = "") {
    SafetyLimit line{std::move(what), std::move(limit), "", kNotMeasured, "", "not confirmed", ""};
    if (!found) return line;
    line.found = "yes";
    if (found->condition.temperature_mk != 0) {
      line.found = quantity::celsius(found->condition.temperature_mk);
    }
    line.how = found->condition.evidence;
    if (line.how == "measured") line.device = pot;
    line.verdict = "kept";
    line.at_utc = quantity::utc_text(found->utc_ms);
    return line;
  }

  // "10 min 2 s, 100.2 °C": from what began it for the last time to its end.
  void timed(SafetyLimit& line, int index, std::string_view began, std::string_view done) const {
    const auto from = last(index, began);
    const auto to = last(index, done);
    if (!from || !to) return;
    const std::string span = quantity::span_of_time(to->at_ms - from->at_ms);
    line.found = line.found == "yes" ? span : span + ", " + line.found;
  }

  void step(int index, const proto::PlannedOperation& operation, const proto::Report& report,
            std::vector<SafetyLimit>& all) const {
    const std::string time = quantity::span_of_time(operation.duration_ms);
    if (operation.kind == "dwell") {
      auto line = met("time at the boil", time, last(index, "dwell done"), "pan");
      timed(line, index, "dwell began", "dwell done");
      all.push_back(line);
    } else if (operation.kind == "fill" && plan_.sterilise_ms > 0) {
      all.push_back(met("empty jars in boiling water", quantity::span_of_time(plan_.sterilise_ms),
                        last(-1, "empty jars boiled"), "canner"));
    } else if (operation.kind == "water bath") {
      auto line = met(
          "water bath from the hard boil, in one piece",
          time + (plan_.altitude_m ? ", the source's row at " + plain(*plan_.altitude_m, 0) + " m"
                                   : ""),
          last(index, "water bath done"), "canner");
      timed(line, index, "water bath began", "water bath done");
      if (const auto lost = count(index, "boil lost"); lost > 0) {
        line.found += (line.found.empty() ? "" : ", ") + std::string("begun again ") +
                      std::to_string(lost) + (lost == 1 ? " time" : " times");
      }
      all.push_back(line);
    } else if (operation.kind == "dry") {
      dried(index, operation, report.state, all);
    } else if (operation.kind == "condition") {
      all.push_back(
          met("no drops in the jar, looked at every day", time, last(index, "conditioned")));
    } else if (operation.kind == "seal check") {
      all.push_back(met("each seal tested, 12 to 24 h after", "all that stand on the shelf",
                        last(index, "seal check done")));
    }
  }

  // By the last weigh-in: its mass with all of its uncertainty below the target.
  void dried(int index, const proto::PlannedOperation& operation, const std::string& state,
             std::vector<SafetyLimit>& all) const {
    const auto dry = last(index, "dry");
    auto mass = met("dried to its target",
                    "at most " + plain(static_cast<double>(operation.left_ppm) / 1e4, 2) +
                        " % of what " + (operation.hung ? "was hung" : "went on the trays"),
                    dry);
    if (weighed_in_) {
      mass.limit =
          "at most " + quantity::grams(weighed_in_->target_ug) + ", " + mass.limit.substr(8);
      mass.found = quantity::grams(weighed_in_->net_ug) + " ± " +
                   plain(2e-6 * static_cast<double>(weighed_in_->standard_uncertainty_ug), 1) +
                   " g (95 %)";
      mass.device = device_name(start_, weighed_in_->device);
      // What the scale decided was decided with this guard; the cook's eye was not.
      const double upper_ug =
          static_cast<double>(weighed_in_->net_ug) +
          one_sided_95 * static_cast<double>(weighed_in_->standard_uncertainty_ug);
      if (!dry) {
        const bool goes_on = state == "running" || state == "held";
        mass.how = "measured";
        mass.verdict = upper_ug <= static_cast<double>(weighed_in_->target_ug) ? "kept"
                       : goes_on                                               ? "not confirmed"
                                                                               : "broken";
      } else if (!dry->condition.evidence.starts_with("measured") &&
                 upper_ug > static_cast<double>(weighed_in_->target_ug)) {
        mass.verdict = "broken";
        mass.how = "ended by the cook's eye";
      }
    }
    all.push_back(mass);
    auto time = met("drying time", "at most " + quantity::span_of_time(operation.longest_ms), dry);
    if (dry && loaded_ms_) {
      const std::int64_t took_ms = dry->at_ms - *loaded_ms_;
      time.found = quantity::span_of_time(took_ms);
      time.how = "by the clock, from the first weigh-in on";
      time.device.clear();
      time.verdict = took_ms <= operation.longest_ms ? "kept" : "broken";
    }
    if (!late_dry_.empty()) {
      if (time.found.empty()) time.found = late_dry_;
      time.how = "by the clock";
      time.verdict = "broken";
    }
    all.push_back(time);
  }

  SafetyLimit longest_boil(const proto::Report& report) const {
    SafetyLimit line{"time at the boil altogether",
                     "at most " + quantity::span_of_time(plan_.longest_boil_ms),
                     "",
                     kNotMeasured,
                     "",
                     "not confirmed",
                     ""};
    if (report.boiled_ms) {
      line.found = quantity::span_of_time(*report.boiled_ms);
      line.how = "by the clock, from first to last boil";
      line.verdict = *report.boiled_ms <= plan_.longest_boil_ms ? "kept" : "broken";
    }
    return line;
  }

  const proto::Start* start_;
  proto::Plan plan_;
  int operation_ = -1;
  std::vector<std::pair<int, Found>> found_;
  std::map<std::string, int> weighed_on_;
  std::vector<std::string> told_strength_;  // acids whose strength was amended
  std::optional<proto::WeighIn> weighed_in_;
  std::optional<std::int64_t> loaded_ms_;
  std::string late_dry_;                      // it was not dry in its longest time
  std::map<int, std::int64_t> stood_utc_ms_;  // by operation, its newest sums; 0 none yet
};

}  // namespace

proto::SafetyRecord safety_record(std::span<const proto::Entry> entries,
                                  std::span<const proto::Reading> readings,
                                  std::string_view last_hash) {
  const Collector found(entries);
  proto::Report told = report(entries, readings, last_hash);
  proto::SafetyRecord record;
  record.batch = told.batch;
  record.product = told.formula;
  record.state = told.state;
  record.may_be_called = told.may_be_called;
  record.source = found.plan().source;
  record.formula_sha256 = found.plan().formula_sha256;
  record.keeping = found.plan().keeping;
  if (found.start() != nullptr) record.cook = found.start()->facts.cook;
  record.altitude_m = told.altitude_m;
  record.limits = found.limits(told);
  record.devices = found.devices();
  record.deviations = std::move(told.deviations);
  record.amendments = std::move(told.amendments);
  record.holds = std::move(told.holds);
  record.jars = std::move(told.jars);
  record.started_utc = told.started_utc;
  if (!entries.empty()) {
    const auto& first = entries.front().stamp;
    record.ended_utc = quantity::utc_text(entries.back().stamp.utc_ms);
    if (found.start() != nullptr) {
      record.started_local = local_text(*found.start(), first);
    }
  }
  if (found.start() != nullptr) record.engine_revision = found.start()->engine_revision;
  record.chain = std::string(last_hash);
  return record;
}

}  // namespace maslin::review
