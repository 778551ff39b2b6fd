// Times as text.
#include "daemon/quantity/times.hpp"

#include <array>
#include <cstdio>

namespace maslin::quantity {

namespace {

struct Date {
  std::int64_t year, month, day;
};

// Stamps of a record are between 1970 and 9999; anything else is shown as the nearest of these.
std::int64_t shown_seconds(std::int64_t ms) {
  constexpr std::int64_t kLastSecond = 253'402'300'799;
  const std::int64_t seconds = ms / 1000;
  return seconds < 0 ? 0 : seconds > kLastSecond ? kLastSecond : seconds;
}

Date date_of(std::int64_t seconds) {
  // Days since 1 March of the year 0, so that the leap day ends a year: years of a 400-year cycle,
  // then months counted from March.
  const std::int64_t days = seconds / 86'400 + 719'468;
  const std::int64_t cycle = days / 146'097;
  const std::int64_t of_cycle = days % 146'097;
  const std::int64_t year =
      (of_cycle - of_cycle / 1'460 + of_cycle / 36'524 - of_cycle / 146'096) / 365;
  const std::int64_t of_year = of_cycle - (365 * year + year / 4 - year / 100);
  const std::int64_t march_month = (5 * of_year + 2) / 153;
  const std::int64_t day = of_year - (153 * march_month + 2) / 5 + 1;
  const std::int64_t month = march_month < 10 ? march_month + 3 : march_month - 9;
  return {year + cycle * 400 + (month <= 2 ? 1 : 0), month, day};
}

}  // namespace

std::string utc_text(std::int64_t utc_ms) {
  const std::int64_t seconds = shown_seconds(utc_ms);
  const Date date = date_of(seconds);
  const std::int64_t of_day = seconds % 86'400;
  char text[32];
  std::snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02dZ", static_cast<int>(date.year),
                static_cast<int>(date.month), static_cast<int>(date.day),
                static_cast<int>(of_day / 3600), static_cast<int>(of_day / 60 % 60),
                static_cast<int>(of_day % 60));
  return text;
}

std::string day_of(std::int64_t local_ms) {
  constexpr std::array days = {"Thursday", "Friday",  "Saturday", "Sunday",
                               "Monday",   "Tuesday", "Wednesday"};  // 1970 began on a Thursday
  constexpr std::array months = {"January",   "February", "March",    "April",
                                 "May",       "June",     "July",     "August",
                                 "September", "October",  "November", "December"};
  const std::int64_t seconds = shown_seconds(local_ms);
  const Date date = date_of(seconds);
  return std::string(days[static_cast<std::size_t>(seconds / 86'400 % 7)]) + " " +
         std::to_string(date.day) + " " + months[static_cast<std::size_t>(date.month - 1)];
}

std::string clock_of(std::int64_t ms) {
  const std::int64_t seconds = ms < 0 ? 0 : ms / 1000;
  const auto two = [](std::int64_t value) {
    return (value < 10 ? "0" : "") + std::to_string(value);
  };
  return std::to_string(seconds / 3600) + ":" + two(seconds / 60 % 60) + ":" + two(seconds % 60);
}

std::string span_of_time(std::int64_t ms) {
  if (ms < 0) return "-" + span_of_time(-ms);
  if (ms < 50) return "0 s";
  if (ms < 950) return "0." + std::to_string((ms + 50) / 100) + " s";
  const std::int64_t seconds = (ms + 500) / 1000;
  if (seconds < 60) return std::to_string(seconds) + " s";
  const std::int64_t minutes = seconds / 60;
  if (minutes < 60) {
    const std::int64_t rest = seconds % 60;
    return std::to_string(minutes) + " min" + (rest ? " " + std::to_string(rest) + " s" : "");
  }
  constexpr std::int64_t kInDays = 72 * 60;
  if (minutes >= kInDays) {
    const std::int64_t hours = minutes / 60;
    const std::int64_t over = hours % 24;
    return std::to_string(hours / 24) + " days" + (over ? " " + std::to_string(over) + " h" : "");
  }
  const std::int64_t rest = minutes % 60;
  return std::to_string(minutes / 60) + " h" + (rest ? " " + std::to_string(rest) + " min" : "");
}

std::string about_when(std::int64_t local_ms, std::int64_t now_local_ms) {
  constexpr std::int64_t hour_ms = 3'600'000;
  constexpr std::int64_t day_ms = 24 * hour_ms;
  const auto day_of = [](std::int64_t ms) {
    return (ms - (ms % day_ms + day_ms) % day_ms) / day_ms;
  };
  const std::int64_t step = local_ms - now_local_ms < day_ms ? hour_ms / 2 : hour_ms;
  const std::int64_t rounded = (local_ms + step / 2) - ((local_ms + step / 2) % step + step) % step;
  const std::int64_t days = day_of(rounded) - day_of(now_local_ms);
  const std::int64_t minutes = (rounded - day_of(rounded) * day_ms) / 60'000;
  const std::string hour = std::to_string(minutes / 60) +
                           (minutes % 60 == 0 ? ":00" : ":" + std::to_string(minutes % 60));
  if (days <= 0) return "today about " + hour;
  if (days == 1) return "tomorrow about " + hour;
  return "in " + std::to_string(days) + " days, about " + hour;
}

}  // namespace maslin::quantity
