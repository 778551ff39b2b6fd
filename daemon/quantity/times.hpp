// Times as text, for cues, report and diary; integer arithmetic on given stamps, no clock.
#pragma once

#include <cstdint>
#include <string>

namespace maslin::quantity {

// Unix milliseconds as ISO 8601, "2026-11-25T18:03:12Z" (proleptic Gregorian).
std::string utc_text(std::int64_t utc_ms);
// Since the start: "0:03:12".
std::string clock_of(std::int64_t ms);
// The day of local milliseconds since 1970, "Thursday 17 December".
std::string day_of(std::int64_t local_ms);
// "7 s", "4 min 20 s", "1 h 5 min", "0.4 s", from three days on "14 days 3 h"; a negative span has
// its sign.
std::string span_of_time(std::int64_t ms);
// "today about 14:30", "tomorrow about 9:00", "in 3 days, about 9:00": a time ahead, to the half
// hour, or to the hour where it is further than a day. Both by the local clock.
std::string about_when(std::int64_t local_ms, std::int64_t now_local_ms);

}  // namespace maslin::quantity
