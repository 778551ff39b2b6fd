// The sums of place_watch.hpp.
#include "daemon/preserving/place_watch.hpp"

#include <algorithm>
#include <utility>

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
  last_undecided_ = false;
  sure_ms_ = 0;
  last_ms_ = at_ms;
  last_ = Last::begun;
}

PlaceSpan PlaceWatch::take(std::int64_t at_ms, Last now, bool undecided) {
  const std::int64_t span_ms = std::max<std::int64_t>(at_ms - last_ms_, 0);
  const bool outside = now == Last::outside || last_ == Last::outside;
  undecided = std::exchange(last_undecided_, undecided) || undecided;
  last_ms_ += span_ms;
  last_ = now;
  if (outside) {
    sums_.outside_ms += span_ms;
    return PlaceSpan::outside;
  }
  if (span_ms <= measured_within_ms) {
    sums_.inside_ms += span_ms;
    weigh_up(span_ms, undecided, !last_undecided_);
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

// One question open, or one that is to be: nothing that comes after it takes its stretch away.
// One reading of a noisy thermometer makes both spans beside it undecided; the later one ends sure.
void PlaceWatch::weigh_up(std::int64_t span_ms, bool undecided, bool ends_sure) {
  if (undecided) sums_.undecided_ms += span_ms;
  if (!ends_sure || sums_.undecided_ms == 0 || sums_.undecided_ms > bounds_.outside_ms) return;
  sure_ms_ += span_ms;
  if (sure_ms_ < std::max(measured_within_ms, sums_.undecided_ms)) return;
  sums_.undecided_ms = sums_.undecided_warmest_mk = sure_ms_ = 0;
}

PlaceSpan PlaceWatch::feed(std::int64_t at_ms, std::int64_t mk) {
  sums_.coldest_mk = sums_.coldest_mk == 0 ? mk : std::min(sums_.coldest_mk, mk);
  sums_.warmest_mk = std::max(sums_.warmest_mk, mk);
  const bool undecided = bounds_.undecided(mk) && mk > settled_mk_;
  if (undecided) {
    const bool begins = sums_.undecided_ms == 0;
    sums_.undecided_warmest_mk = begins ? mk : std::max(sums_.undecided_warmest_mk, mk);
  }
  return take(at_ms, bounds_.holds(mk) ? Last::inside : Last::outside, undecided);
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

void PlaceWatch::settle(bool as_it_should_be) {
  const std::int64_t undecided_ms = std::exchange(sums_.undecided_ms, 0);
  const std::int64_t warmest_mk = std::exchange(sums_.undecided_warmest_mk, 0);
  sure_ms_ = 0;
  if (as_it_should_be) {
    settled_mk_ = std::max(settled_mk_, warmest_mk);
    last_undecided_ = false;
    return;
  }
  sums_.inside_ms -= undecided_ms;
  sums_.counted_ms -= undecided_ms;
  sums_.outside_ms += undecided_ms;
}

void PlaceWatch::gap_was_outside() {
  sums_.unmeasured_ms -= long_gap_ms_;
  sums_.outside_ms += long_gap_ms_;
  long_gap_ms_ = 0;
}

}  // namespace maslin::preserving
