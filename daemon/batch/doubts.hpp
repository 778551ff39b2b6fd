// Thermometers that cannot be believed: degrees of Fahrenheit taken for Celsius, the value that a
// sensor shows before it has measured, a pot that is seen to boil where its thermometer says it
// cannot. Part of the engine, which reads every temperature through it.
#pragma once

#include <cstdint>
#include <map>
#include <optional>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

class Doubts {
 public:
  // What the thermometer shows, uncorrected; empty where it is not believed and the eye decides.
  // The cook is told once.
  std::optional<std::int64_t> heard(Desk& desk, const Thermometer& thermometer,
                                    std::int64_t shown_mk);
  // It is not believed now, though it sends.
  bool doubts(std::uint16_t device) const;

 private:
  struct Known {
    std::optional<std::int64_t> last_mk;
    std::int64_t lowest_mk = 0;
    std::int64_t smooth_mk = 0;
    std::int64_t jumped_ms = 0;  // to the power-on value; 0: it came there step by step, or is not
    std::int64_t still_mk = 0;   // it has been there, give or take, since
    std::int64_t still_since_ms = 0;
    std::optional<std::int64_t> hot_since_ms;   // over what its pot can be
    std::optional<std::int64_t> back_since_ms;  // fell from there at once to what its pot can be
    bool heated = false;                        // its pot was over the heat in this batch
    bool power_on = false;
    bool fahrenheit = false;
    bool said = false;
  };
  static bool too_hot(const Desk& desk, Known& known, std::int64_t limit_mk, std::int64_t shown_mk);
  void doubt(Desk& desk, const Thermometer& thermometer, Known& known, std::int64_t shown_mk);
  std::map<std::uint16_t, Known> known_;
};

// The canner or the pan boils, by the cook's word and by a curve that stands still at this level,
// or by two words against what it shows. Where that differs from the boiling point of the altitude
// by more than calibration, weather and depth explain, one of the two is wrong: the cook is told,
// and it stands in the record. A pan may boil hotter than water by what is dissolved in it (which
// batch/solids holds against what was weighed), and nothing boils cooler. True where it was.
bool contradicts_boil(Desk& desk, proto::Role role, std::int64_t level_mk);

}  // namespace maslin::batch
