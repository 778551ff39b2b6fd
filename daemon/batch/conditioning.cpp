// The days of conditioning.hpp.
#include "daemon/batch/conditioning.hpp"

#include <algorithm>

#include "daemon/quantity/times.hpp"

namespace maslin::batch {

std::int64_t Conditioning::days(const Desk& desk) const {
  const auto& operation = planned(desk);
  return std::max<std::int64_t>(1, (operation.duration_ms + operation.every_ms - 1) /
                                       std::max<std::int64_t>(operation.every_ms, 1));
}

void Conditioning::begin(Desk& desk) {
  const auto& operation = planned(desk);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  next_ms_ = desk.waking(desk.now_ms + operation.every_ms);
  say_again(desk);
}

void Conditioning::say_again(Desk& desk) {
  if (asked_) {
    desk.cue("drops_asked",
             "Shake the jar. Drops or mist on the glass, pieces that stick together? None: ok. "
             "Some: no. Mould: discard all of it, and stop the batch.");
    return;
  }
  desk.cue(
      "step",
      planned(desk).text + " It is looked at " +
          quantity::about_when(next_ms_ + desk.local_less_ms, desk.now_ms + desk.local_less_ms) +
          ", " + std::to_string(days(desk) - dry_days_) + " days to go.",
      "", 0, Desk::not_asked);
}

void Conditioning::time_passed(Desk& desk) {
  if (done() || desk.now_ms < next_ms_) return;
  asked_ = true;
  next_ms_ = desk.waking(desk.now_ms + planned(desk).every_ms);
  desk.ask_anew();
  say_again(desk);
}

std::optional<std::int64_t> Conditioning::deadline_ms() const {
  if (done()) return std::nullopt;
  return next_ms_;
}

std::optional<proto::Trouble> Conditioning::refuses_ok(const Desk& desk) const {
  if (asked_) return std::nullopt;
  return proto::Trouble{
      "the jar is looked at " +
          quantity::about_when(next_ms_ + desk.local_less_ms, desk.now_ms + desk.local_less_ms),
      "", "if there are drops in it already, say no"};
}

void Conditioning::ok(Desk& desk) {
  asked_ = false;
  ++dry_days_;
  desk.emit(proto::Condition{
      "no drops in the jar, day " + std::to_string(dry_days_) + " of " + std::to_string(days(desk)),
      "seen by the cook", 0});
  if (dry_days_ < days(desk)) {
    desk.cue("step", "Good: no drops. Close it again.", "", 0, Desk::not_asked);
    return;
  }
  desk.emit(proto::Condition{"conditioned", "seen by the cook", 0});
  desk.cue("dwell_done", "Conditioned: no drops on " + std::to_string(dry_days_) + " days.");
  finish();
}

// Drops are seen whenever the cook looks.
std::optional<proto::Trouble> Conditioning::refuses_no(const Desk&) const { return std::nullopt; }

void Conditioning::no(Desk& desk) {
  drops_ = true;
  desk.emit(proto::Deviation{"conditioning", false, "drops in the jar", "dried again"});
  desk.cue("advice",
           "Drops: it is not dry inside. Out of the jar, back on the trays, and dry it further. "
           "Wipe the jar dry.");
  finish();
}

std::optional<int> Conditioning::goes_back(const Desk& desk) const {
  if (!drops_) return std::nullopt;
  for (int i = index() - 1; i >= 0; --i) {
    if (desk.plan.operations[static_cast<std::size_t>(i)].kind == "dry") return i;
  }
  return std::nullopt;
}

void Conditioning::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (!asked_) status.left_ms = std::max<std::int64_t>(0, next_ms_ - desk.now_ms);
  if (desk.to_weight && desk.to_weight->begun()) status.to_weight = desk.to_weight->status();
}

}  // namespace maslin::batch
