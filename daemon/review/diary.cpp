// The diary of a batch: what `maslin log` shows.
#include <algorithm>
#include <cstdlib>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/review/record.hpp"
#include "daemon/review/review.hpp"

namespace maslin::review {
namespace {

// The line of one entry without its time; empty where it says nothing that another line does not.
class Words {
 public:
  explicit Words(const proto::Start* start) : start_(start) {}

  std::string operator()(const proto::Start& start) const {
    return "Batch " + start.batch + ": " + start.plan.formula + ", times " +
           quantity::plain(start.plan.factor, 2) + ". " + start.plan.may_be_called;
  }
  std::string operator()(const proto::Command& command) const {
    // A note comes again as the outcome of the same words.
    if (command.word == "note") return "";
    return "The cook: " + command.word + (command.text.empty() ? "" : " (" + command.text + ")");
  }
  std::string operator()(const proto::DeviceEvent& event) const {
    return device_name(start_, event.device) + " " + event.what +
           (event.why.empty() ? "" : ": " + event.why);
  }
  std::string operator()(const proto::Suspend& suspend) const {
    return "The machine slept for " + quantity::span_of_time(suspend.gap_ms) + ".";
  }
  std::string operator()(const proto::ClockStep& step) const {
    return "The clock was set by " + quantity::span_of_time(step.step_ms) + ".";
  }
  std::string operator()(const proto::Restart& restart) const {
    return "The daemon was started again; not watched for " +
           quantity::span_of_time(restart.gap_ms) + ".";
  }
  std::string operator()(const proto::Timer&) const { return ""; }
  // Their outcomes tell them.
  std::string operator()(const proto::Rating&) const { return ""; }
  std::string operator()(const proto::JarWord&) const { return ""; }
  std::string operator()(const proto::Amendment&) const { return ""; }
  std::string operator()(const proto::Measured&) const { return ""; }
  std::string operator()(const proto::StoreEvent& event) const {
    return event.failing ? "The record could not be written: " + event.why
                         : "The record could be written again.";
  }

  std::string operator()(const proto::BatchState& state) const {
    return "Batch " + state.state + (state.why.empty() ? "" : ": " + state.why);
  }
  std::string operator()(const proto::PhaseBegan& phase) const {
    return phase.ingredient.empty() ? "Step " + phase.kind + ": " + phase.text
                                    : "Weigh " + phase.ingredient;
  }
  std::string operator()(const proto::Weighing& weighing) const {
    if (weighing.indications == 0) return weighing.ingredient + " " + weighing.how;
    const std::int64_t interval = interval_of(weighing.device);
    return weighing.ingredient + (weighing.corrects ? " corrected to " : " weighed: ") +
           quantity::grams(weighing.net_ug, interval) + " ± " +
           quantity::plain(static_cast<double>(weighing.expanded_uncertainty_ug) / 1e6, 2) +
           " g, " + weighing.how;
  }
  std::string operator()(const proto::Verdict& verdict) const {
    // What was not weighed has no verdict worth a line; the weighing says how it was taken.
    if (verdict.rule == "by measure") return "";
    return verdict.ingredient + " " + verdict.verdict + ", band " + band_text(verdict);
  }
  std::string operator()(const proto::PlanFinal& final) const {
    return "Plan final, times " + quantity::plain(final.plan.factor, 3) + ": " + final.why;
  }
  std::string operator()(const proto::Cue& cue) const {
    // What was said in a hurry, and the cautions; the rest stands in the other lines.
    const bool shown = cue.urgency == 4 || cue.id == "caution" || cue.id == "over" ||
                       cue.id == "undecided" || cue.id == "more";
    return shown ? "Said: " + cue.text : "";
  }
  std::string operator()(const proto::Held& held) const {
    return "Held, " + held.reason + ": " + held.what + " " + held.ends_when +
           (held.pan.empty() ? "" : " " + held.pan);
  }
  std::string operator()(const proto::Released& released) const {
    // Who ended it ("the cook"), or how it ended ("accepted by the cook").
    const bool who = released.by.starts_with("the ");
    return "Released, " + released.reason + (who ? ", by " : ": ") + released.by;
  }
  std::string operator()(const proto::ZeroEpoch& epoch) const {
    return device_name(start_, epoch.device) + " scale: zero found anew, " + zero_words(epoch.why);
  }
  std::string operator()(const proto::Condition& condition) const {
    return condition_words(condition.what) + ", " + condition.evidence +
           (condition.temperature_mk == 0 ? ""
                                          : ", " + quantity::celsius(condition.temperature_mk));
  }
  std::string operator()(const proto::Deviation& deviation) const {
    return std::string(deviation.critical ? "Critical deviation, " : "Deviation, ") +
           deviation.about + ": " + deviation.what + "; " + deviation.done;
  }
  std::string operator()(const proto::Noted& note) const { return "Note: " + note.text; }
  std::string operator()(const proto::Rated& rated) const {
    return "It turned out: " + rating_words(rated.rating) +
           (rated.rating.text.empty() ? "." : ". " + rated.rating.text);
  }
  std::string operator()(const proto::Stood& stood) const {
    std::string text = "stood: " + quantity::span_of_time(stood.inside_ms) + " inside, " +
                       quantity::span_of_time(stood.outside_ms) + " outside, " +
                       quantity::span_of_time(stood.unmeasured_ms) + " not measured, " +
                       stood.evidence;
    if (stood.coldest_mk > 0) {
      text +=
          ", " + quantity::celsius(stood.coldest_mk) + " to " + quantity::celsius(stood.warmest_mk);
    }
    return text + (stood.done ? "; its time is over" : "");
  }
  std::string operator()(const proto::Filled& filled) const {
    return (filled.unit == "jar" ? "Filled: " : "Counted: ") + std::to_string(filled.jars) + " " +
           filled.unit + (filled.jars == 1 ? "" : "s") +
           (filled.part_filled > 0 ? " and one part-filled" : "") + ", " + filled.evidence;
  }
  std::string operator()(const proto::JarsAre& jars) const {
    return quantity::jar_names(jars.jars, jars.unit) + ": " + jars.where + ", " + jars.why +
           (jars.todo.empty() ? "" : ". " + jars.todo);
  }
  std::string operator()(const proto::Amended& amended) const {
    return "Amended, " + amendment_words(amended.amendment) + ": was " + amended.was + ", is " +
           amended.is + (amended.amendment.text.empty() ? "" : "; " + amended.amendment.text);
  }
  std::string operator()(const proto::WayOut& way) const {
    return "Over-pour of " + way.ingredient + ", " + way_words(way) + refused_words(way);
  }
  std::string operator()(const proto::Finding& finding) const { return finding_words(finding); }
  std::string operator()(const proto::WeighIn& one) const { return weigh_in_words(one); }
  std::string operator()(const proto::Progress&) const { return ""; }

 private:
  std::int64_t interval_of(int device) const {
    if (!start_ || device < 0 || static_cast<std::size_t>(device) >= start_->devices.size())
      return 0;
    return start_->devices[static_cast<std::size_t>(device)].description.interval_ug;
  }

  const proto::Start* start_;
};

constexpr std::int64_t greatest_zone_ms = 14 * 3'600'000;

}  // namespace

std::string local_text(const proto::Start& start, const proto::Stamp& stamp) {
  const std::int64_t zone_ms = start.local_less_ms + stamp.at_ms - stamp.utc_ms;
  if (zone_ms == 0 || std::abs(zone_ms) > greatest_zone_ms) return {};
  std::string local = quantity::utc_text(stamp.utc_ms + zone_ms);
  local.pop_back();  // its Z
  return local;
}

std::vector<std::string> diary(std::span<const proto::Entry> entries) {
  std::vector<std::string> lines;
  if (entries.empty()) return lines;
  const auto* start = start_of(entries);
  const auto& first = entries.front().stamp;
  std::string head = "Started " + quantity::utc_text(first.utc_ms);
  if (const std::string local = start == nullptr ? "" : local_text(*start, first); !local.empty()) {
    head += ", " + local + " by the clock of the kitchen";
  }
  lines.push_back(std::move(head));
  const Words words(start);
  for (const proto::Entry& entry : entries) {
    const std::string text = entry.is_input()
                                 ? std::visit(words, std::get<proto::Input>(entry.body))
                                 : std::visit(words, std::get<proto::Outcome>(entry.body));
    if (text.empty()) continue;
    lines.push_back(quantity::clock_of(entry.stamp.at_ms - entries.front().stamp.at_ms) + "  " +
                    text);
  }
  return lines;
}

}  // namespace maslin::review
