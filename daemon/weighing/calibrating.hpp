// A calibration as it is made: the empty pan, one known load after the other, the empty pan again,
// each taken when the scale is quiet. Fed by session/ with the readings of one scale.
#pragma once

#include <cstdint>
#include <optional>

#include "daemon/weighing/calibration.hpp"
#include "daemon/weighing/settled.hpp"
#include "proto/reading.hpp"

namespace maslin::weighing {

class Calibrating {
 public:
  // interval_ug > 0; the first quiet level is the empty pan.
  Calibrating(std::int64_t interval_ug, std::int64_t capacity_ug, std::int64_t lag_ms);

  // mass_ug is only read where the reading is usable. True where the zero is not the same any more:
  // the unit was changed, so that all must begin anew.
  bool feed(const proto::Reading& reading, std::int64_t mass_ug);
  // Something was not watched: the level has to come to rest again.
  void interrupted() { rest_.restart(); }

  // The settled level, while there is one.
  std::optional<double> level_g() const;
  bool has_zero() const { return begun_; }
  // Each takes the settled level, and is called only while there is one.
  // False where it is so far from zero that something lies on the pan.
  bool take_zero();
  // False where nothing lies on the pan, or still what was taken before.
  bool take_load(const KnownMass& mass);
  // False where something still lies on the pan.
  bool take_zero_again();

  const CalibrationLoads& loads() const { return loads_; }
  // By the loads so far.
  Calibration result() const { return calibrate(loads_); }

 private:
  bool off_zero() const;

  RestDetector rest_;
  CalibrationLoads loads_;
  proto::Unit unit_ = proto::Unit::none;
  bool begun_ = false;
  bool moved_ = true;  // since the last load was taken
  double zero_g_ = 0;
};

}  // namespace maslin::weighing
