// How a place has been while something stands in it for days: the time inside its bounds, outside
// of them and not measured, from readings that come minutes apart and sometimes not for hours.
// Pure; used by batch/stand.
#pragma once

#include <cstdint>
#include <optional>

namespace maslin::preserving {

// Millikelvin; 0 where nothing bounds that side.
struct PlaceBounds {
  std::int64_t least_mk = 0;
  std::int64_t most_mk = 0;
  // The longest gap without a reading whose two ends are inside, milliseconds.
  std::int64_t unmeasured_ms = 0;
  // Shown so little under most_mk it may as well be over it: the uncertainty of the thermometer.
  std::int64_t guard_mk = 0;
  // So long altogether it may be outside: what is undecided for longer is another thermometer's to
  // decide.
  std::int64_t outside_ms = 0;

  bool any() const { return least_mk > 0 || most_mk > 0; }
  bool holds(std::int64_t mk) const {
    return (least_mk == 0 || mk >= least_mk) && (most_mk == 0 || mk <= most_mk);
  }
  bool undecided(std::int64_t mk) const {
    return most_mk > 0 && mk <= most_mk && mk > most_mk - guard_mk;
  }
  // A thermometer that is set to °F and sends °C: what it shows is far outside and would be inside
  // as °F.
  bool holds_as_fahrenheit(std::int64_t mk) const;
};

// The three add up to the time from the begin to the newest reading.
struct PlaceSums {
  std::int64_t inside_ms = 0;
  std::int64_t outside_ms = 0;
  std::int64_t unmeasured_ms = 0;
  std::int64_t counted_ms = 0;  // inside, and gaps that were short enough
  std::int64_t longest_gap_ms = 0;
  // Of inside_ms the newest stretch within the guard that no other thermometer has settled, and the
  // warmest in it. It is forgotten once the place was surely inside for as long, and for
  // measured_within_ms (a door, a defrosting; common practice, no source), but never after it was
  // longer than outside_ms.
  std::int64_t undecided_ms = 0;
  std::int64_t undecided_warmest_mk = 0;
  std::int64_t coldest_mk = 0;  // 0 without any reading
  std::int64_t warmest_mk = 0;
};

// What the span up to a reading was.
enum class PlaceSpan : std::uint8_t { inside, outside, gap, long_gap };

class PlaceWatch {
 public:
  explicit PlaceWatch(const PlaceBounds& bounds = {}) : bounds_(bounds) {}

  void begin(std::int64_t at_ms);
  // Readings in order of time. A span counts as inside only where both its ends are; with an end
  // outside all of it was outside, however long it is.
  PlaceSpan feed(std::int64_t at_ms, std::int64_t mk);
  // The cook has looked, where nothing measures: the span was not measured, and counts where the
  // place was as it should be and nobody was away for longer than `within_ms`. As with readings, an
  // end outside makes all of it outside.
  PlaceSpan look(std::int64_t at_ms, bool as_it_should_be, std::int64_t within_ms);

  // Another thermometer has decided what this one cannot. As cold as it should be: the warmest of
  // the stretch settles everything that is no warmer; else all the undecided time was outside.
  void settle(bool as_it_should_be);
  // The newest gap that was too long turns out to have been outside.
  void gap_was_outside();

  const PlaceBounds& bounds() const { return bounds_; }
  const PlaceSums& sums() const { return sums_; }
  std::int64_t long_gap_ms() const { return long_gap_ms_; }  // the newest that was too long
  // The newest reading or look, or the begin.
  std::int64_t last_ms() const { return last_ms_; }
  bool last_outside() const { return last_ == Last::outside; }
  bool fresh(std::int64_t at_ms) const { return at_ms - last_ms_ <= measured_within_ms; }

  // Two readings so far apart are still a measurement: food warms up more slowly than that (common
  // practice, no source).
  static constexpr std::int64_t measured_within_ms = 15 * 60'000;

 private:
  enum class Last : std::uint8_t { begun, inside, outside };

  PlaceSpan take(std::int64_t at_ms, Last now, bool undecided);
  void weigh_up(std::int64_t span_ms, bool undecided, bool ends_sure);

  PlaceBounds bounds_;
  PlaceSums sums_;
  std::int64_t last_ms_ = 0;
  std::int64_t long_gap_ms_ = 0;
  std::int64_t settled_mk_ = 0;  // shown so much, another one has found it inside
  bool last_undecided_ = false;
  std::int64_t sure_ms_ = 0;  // surely inside since the undecided stretch began
  Last last_ = Last::begun;
};

}  // namespace maslin::preserving
