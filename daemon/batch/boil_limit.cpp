// The clock of boil_limit.hpp.
#include "daemon/batch/boil_limit.hpp"

#include "daemon/batch/desk.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {

void BoilLimit::boils(const Desk& desk) {
  if (!since_ms_) since_ms_ = desk.now_ms;
}

std::optional<std::int64_t> BoilLimit::deadline_ms(const Desk& desk) const {
  if (!since_ms_ || left_ || desk.plan.longest_boil_ms == 0) return std::nullopt;
  return *since_ms_ + desk.plan.longest_boil_ms;
}

void BoilLimit::time_passed(Desk& desk) {
  const auto due = deadline_ms(desk);
  if (!due || desk.now_ms < *due) return;
  left_ = true;
  desk.cue("too_long",
           "Off the heat: it has boiled as long as the formula allows. It is not for the shelf any "
           "more.");
  desk.emit(
      proto::Deviation{"time at the boil", true,
                       "over " + quantity::span_of_time(desk.plan.longest_boil_ms) + " altogether",
                       "the cook was told; acid leaves with the steam"});
  desk.limit_kept("time at the boil", false);
}

}  // namespace maslin::batch
