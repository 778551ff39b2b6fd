#include "plugins/hid-scale/stream.hpp"

#include <algorithm>
#include <array>

namespace maslin::hid {

using namespace std::chrono_literals;

namespace {

// As many reports tell the usual time between two; a scale that sends more slowly than that is
// announced after patience, and taken for one that sends once a second.
constexpr std::size_t reports_to_learn = 4;
constexpr sdk::Time patience = 1s;
constexpr sdk::Time unknown_period = 1s;
constexpr sdk::Time shortest_period = 1ms;
// One damaged report is passed over; from the third in a row on the cook is told.
constexpr int bad_enough = 3;
constexpr sdk::Time between_lines = 60s;

}  // namespace

sdk::Time Stream::period() const {
  if (!about_.repeats && !repeated_) return sdk::Time{0};
  if (seen_.size() < reports_to_learn) return unknown_period;
  std::array<sdk::Time, reports_to_learn - 1> gaps{};
  for (std::size_t i = 0; i < gaps.size(); ++i) gaps[i] = seen_[i + 1] - seen_[i];
  std::ranges::nth_element(gaps, gaps.begin() + gaps.size() / 2);
  return std::max(gaps[gaps.size() / 2], shortest_period);
}

sdk::About Stream::about(const maslin_reading& reading) const {
  sdk::About about;
  about.unit = reading.unit;
  about.vendor = about_.vendor;
  about.product = about_.product;
  about.serial = about_.serial;
  about.port = about_.port;
  about.label = about_.label;
  // A scale shows no finer than its last digit; its attributes may say that it is coarser.
  about.interval = {1, reading.exponent};
  if (about_.step) {
    const auto step = in_unit(*about_.step, reading.unit);
    if (step && step->exponent > reading.exponent) about.interval = *step;
  }
  if (about_.limit) about.capacity = in_unit(*about_.limit, reading.unit).value_or(sdk::Decimal{});
  about.period = period();
  about.only_on_change = about.period == sdk::Time{0};
  return about;
}

void Stream::refused(const std::string& why, sdk::Time now, Outcome& out) {
  ++bad_;
  if (!logged_at_ || now - *logged_at_ >= between_lines) {
    logged_at_ = now;
    out.log = about_.label + " at " + about_.port + ": a report was thrown away: " + why;
  }
  if (announced_ && bad_ >= bad_enough) {
    out.send.push_back(sdk::reading(MASLIN_MASS, unit_, {}, MASLIN_FAULT_CRC, now));
  }
}

Stream::Outcome Stream::took(std::span<const std::uint8_t> report, sdk::Time at, sdk::Time now) {
  Outcome out;
  const bool first = std::exchange(first_, false);
  if (first && about_.repeats) return out;
  auto readings = about_.layout->decode(report);
  if (first && !readings) return out;
  if (!readings) {
    refused(readings.error(), now, out);
    return out;
  }
  bad_ = 0;
  repeated_ = repeated_ || std::ranges::equal(before_, report);
  if (!first && !announced_) before_.assign(report.begin(), report.end());
  for (auto& reading : *readings) {
    if (!announced_) {
      if (reading.unit == MASLIN_NO_UNIT)
        continue;  // a fault, before it has told what it weighs in
      last_ = reading;
      last_.at_ns = at.count();
      seen_.push_back(at);
      if (first) continue;
      if (seen_.size() < reports_to_learn && at - seen_.front() < patience) continue;
      announced_ = true;
      unit_ = reading.unit;
      out.announce = about(reading);
    }
    if (reading.unit == MASLIN_NO_UNIT) reading.unit = unit_;
    reading.at_ns = at.count();
    out.send.push_back(reading);
  }
  return out;
}

sdk::Time Stream::due() const {
  return announced_ || seen_.empty() ? sdk::forever : seen_.front() + patience;
}

Stream::Outcome Stream::waited(sdk::Time now) {
  Outcome out;
  if (now < due()) return out;
  announced_ = true;
  unit_ = last_.unit;
  out.announce = about(last_);
  // Where only changes are sent, the last one still holds; the very first report may be old.
  if (out.announce->only_on_change && seen_.size() > 1) out.send.push_back(last_);
  return out;
}

}  // namespace maslin::hid
