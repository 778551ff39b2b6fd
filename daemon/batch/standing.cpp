// The rules of standing.hpp.
#include "daemon/batch/standing.hpp"

#include <string>
#include <string_view>

#include "daemon/batch/desk.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

// Perishable food does not stay out of the cold for longer: USDA Food Safety and Inspection
// Service, the two-hour rule (from memory).
constexpr std::int64_t longest_ms = 2 * 3'600'000;

}  // namespace

void Standing::filled(const Desk& desk) {
  if (desk.plan.keeping == "shelf") since_ms_ = desk.now_ms;
}

std::optional<std::int64_t> Standing::deadline_ms() const {
  if (!since_ms_ || left_) return std::nullopt;
  return *since_ms_ + longest_ms;
}

void Standing::time_passed(Desk& desk) {
  const auto due = deadline_ms();
  if (due && desk.now_ms >= *due) leave(desk, "filled, and not in the bath for ", longest_ms);
}

void Standing::unwatched(Desk& desk, std::int64_t gap_ms) {
  if (gap_ms > longest_ms && !left_) leave(desk, "unwatched for ", gap_ms);
}

void Standing::leave(Desk& desk, const char* how, std::int64_t for_ms) {
  left_ = true;
  const std::string span = quantity::span_of_time(for_ms);
  desk.emit(proto::Deviation{"food left standing", true, how + span,
                             "the cook was told to discard what was not kept cold"});
  desk.limit_kept("food left standing", false);
  desk.cue("advice", "The food has stood for " + span +
                         ". Unless it was kept cold, discard it and do not taste it. It is not for "
                         "the shelf any more.");
}

void mind_the_pan(Desk& desk, std::string_view is) {
  desk.pan_on_heat =
      is == "heat" || is == "dwell" || ((is == "fill" || is == "weigh") && desk.pan_on_heat);
  const auto advise = [&](const char* what, std::int64_t good_for_s) {
    desk.pan_advice = what;
    desk.pan_good_for_s = good_for_s;
  };
  if (is == "dwell") {
    advise("Keep it boiling: its time runs on.", 0);
  } else if (is == "fill" && desk.pan_on_heat) {
    advise("Lid on the pan, empty jars back into hot water.", 300);
  } else if (desk.pan_on_heat) {
    advise("Pan off the heat, stir now and then.", 600);
  } else if (is == "water bath") {
    advise("The water bath goes on: keep it boiling, its time runs.", 0);
  } else if (is == "stand") {
    advise("", 0);
  } else if (is == "dry" || is == "condition") {
    advise("", 0);
  } else if (is == "cool" || is == "seal check") {
    advise("Leave the jars where they stand.", 0);
  } else if (desk.canner.lit()) {
    advise("Turn the canner low and keep the water over the jars; cover what is cut.", 3600);
  } else {
    advise("Nothing is over the heat; cover what is cut.", 3600);
  }
}

}  // namespace maslin::batch
