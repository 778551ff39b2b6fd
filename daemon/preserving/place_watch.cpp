// The sums of place_watch.hpp.
#include "daemon/preserving/place_watch.hpp"

#include <algorithm>

namespace maslin::preserving {
namespace {

constexpr std::int64_t zero_mk = 273'150;
// Nearer than that it may simply be warm (common practice, no source).
constexpr std::int64_t far_outside_mk = 15'000;

}  // namespace

bool PlaceBounds::holds_as_fahrenheit(std::int64_t mk) const {
  if (most_mk == 0 || mk < most_mk + far_outside_mk) return false;
  const std::int64_t shown = mk - zero_mk;  // thousandths of a degree, as sent
  return holds((shown - 32'000) * 5 / 9 + zero_mk);
}

void PlaceWatch::begin(std::int64_t at_ms) {
  sums_ = {};
  last_ms_ = at_ms;
  last_ = Last::begun;
}

PlaceSpan PlaceWatch::take(std::int64_t at_ms, Last now) {
  const std::int64_t span_ms = std::max<std::int64_t>(at_ms - last_ms_, 0);
  const bool outside = now == Last::outside || last_ == Last::outside;
  last_ms_ += span_ms;
  last_ = now;
  if (outside) {
    sums_.outside_ms += span_ms;
    return PlaceSpan::outside;
  }
  if (span_ms <= measured_within_ms) {
    sums_.inside_ms += span_ms;
    sums_.counted_ms += span_ms;
    return PlaceSpan::inside;
  }
  sums_.unmeasured_ms += span_ms;
  sums_.longest_gap_ms = std::max(sums_.longest_gap_ms, span_ms);
  if (span_ms > bounds_.unmeasured_ms) {
    long_gap_ms_ = span_ms;
    return PlaceSpan::long_gap;
  }
  sums_.counted_ms += span_ms;
  return PlaceSpan::gap;
}

PlaceSpan PlaceWatch::feed(std::int64_t at_ms, std::int64_t mk) {
  sums_.coldest_mk = sums_.coldest_mk == 0 ? mk : std::min(sums_.coldest_mk, mk);
  sums_.warmest_mk = std::max(sums_.warmest_mk, mk);
  return take(at_ms, bounds_.holds(mk) ? Last::inside : Last::outside);
}

PlaceSpan PlaceWatch::look(std::int64_t at_ms, bool as_it_should_be, std::int64_t within_ms) {
  const std::int64_t span_ms = std::max<std::int64_t>(at_ms - last_ms_, 0);
  const bool outside = !as_it_should_be || last_ == Last::outside;
  last_ms_ += span_ms;
  last_ = as_it_should_be ? Last::inside : Last::outside;
  if (outside) {
    sums_.outside_ms += span_ms;
    return PlaceSpan::outside;
  }
  sums_.unmeasured_ms += span_ms;
  sums_.longest_gap_ms = std::max(sums_.longest_gap_ms, span_ms);
  if (span_ms > within_ms) {
    long_gap_ms_ = span_ms;
    return PlaceSpan::long_gap;
  }
  sums_.counted_ms += span_ms;
  return PlaceSpan::gap;
}

void PlaceWatch::gap_was_outside() {
  sums_.unmeasured_ms -= long_gap_ms_;
  sums_.outside_ms += long_gap_ms_;
  long_gap_ms_ = 0;
}

}  // namespace maslin::preserving
