// A thermometer brought to the truth by ice and by the local boil: the two points, and what is no
// such point. session/ takes them at the cook's word, `figure probe` shows the sum; what is kept of
// them is in quantity/probe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "proto/device.hpp"
#include "proto/trouble.hpp"

namespace maslin::preserving {

// A probe that was read in ice and in boiling water: true = slope * (shown - ice), zero at ice.
struct ProbeLine {
  double ice_c = 0;  // what it shows at 0 °C
  double slope = 1;
  double boiling_c = 0;     // the true boil that it was held against
  double pressure_u_c = 0;  // standard uncertainty of that by its pressure
  double reading_u_c = 0;   // of one reading, by its interval
  double corrected_c(double shown_c) const { return slope * (shown_c - ice_c); }
  // Of a corrected temperature, by the GUM: boil, ice and the three readings.
  double standard_uncertainty_c(double true_c) const;
};
// pressure_pa: where the boil was read; pressure_u_pa its standard uncertainty (of an altitude's
// standard, 900 Pa of weather: our judgement). interval_c: of the display. Refused where both
// readings together are off by more than 5 % of the span, or ice by more than 5 K.
proto::Result<ProbeLine> calibrate_probe(double ice_c, double boiling_c, double pressure_pa,
                                         double pressure_u_pa, double interval_c);

// What common 1-Wire thermometers show when they are switched on and have measured nothing (their
// data sheet, from memory).
inline constexpr std::int64_t kPowerOnMk = 85'000 + 273'150;
// Why a tip in ice and water, or in water that boils at true_mk, cannot show this much; empty where
// it can. Names what it looks like: degrees of Fahrenheit, a sensor that measures nothing, water
// that does not boil.
std::optional<proto::Trouble> no_ice(std::int64_t shown_mk);
std::optional<proto::Trouble> no_boil(std::int64_t shown_mk, std::int64_t true_mk);
// Right in ice and wrong at the boil of an altitude that was only told: that altitude is more
// likely wrong than the probe, and no calibration may hide it. Not asked where the pressure was
// measured.
std::optional<proto::Trouble> no_altitude(std::int64_t ice_mk, std::int64_t boil_mk,
                                          std::int64_t true_mk);

// Has a thermometer come to rest in what it stands in: over 40 s within half a kelvin, and the two
// halves of that within 0.06 K, so that even one that lags by 20 s has no more than that to go;
// five readings at least (common practice, no source).
class StillProbe {
 public:
  // A reading, and the smallest step that its digits can make.
  void feed(std::int64_t at_ms, std::int64_t shown_mk, std::int64_t step_mk);
  void restart() { count_ = 0; }
  // The mean over the last 40 s, or empty.
  std::optional<std::int64_t> level_mk() const;
  // What its display steps in: by its digits, or wider where the readings only come in wider steps.
  std::int64_t interval_mk() const;

 private:
  struct Sample {
    std::int64_t at_ms;
    std::int64_t mk;
  };
  static constexpr std::size_t capacity = 256;
  std::array<Sample, capacity> samples_{};
  std::size_t next_ = 0;
  std::size_t count_ = 0;
  std::int64_t step_mk_ = 0;
  std::int64_t least_change_mk_ = 0;  // ever seen; 0 none
};

}  // namespace maslin::preserving
