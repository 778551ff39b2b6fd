// The account of what loses water until it weighs so much: its trays, its weigh-ins, its target,
// and when that will be reached. What was taken away as food leaves the account whole, as if it had
// never been there. Kept on the desk, since drying may be taken up again after conditioning; no
// word of it is said here.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/preserving/drying.hpp"
#include "proto/methods.hpp"

namespace maslin::batch {

class ToWeight {
 public:
  struct Point {
    std::int64_t at_ms = 0;
    std::int64_t net_ug = 0;
    std::int64_t standard_uncertainty_ug = 0;
  };

  // As PlannedOperation's.
  ToWeight(std::int64_t left_ppm, std::int64_t water_ppm)
      : left_ppm_(left_ppm), water_ppm_(water_ppm) {}

  // Which load stands on which tray nobody knows: only sums of the two are compared.
  std::vector<std::int64_t> empties_ug;
  std::vector<std::int64_t>
      loads_ug;  // gross, of the last weigh-in; empty where they came together

  // What went on the trays; its first weigh-in. `begin_ug`: what its target is a share of.
  void begin(std::int64_t begin_ug, const Point& point);
  void add(const Point& point) { points_.push_back(point); }
  // Weigh-ins that were lighter than this one: they were wrong.
  void strike_lighter(std::int64_t net_ug);
  // Of what was there only this share is left; the rest was taken away as it was.
  void keep(double share);
  // A tray is there no more: an empty one, as heavy as they are on average.
  void drop_tray();
  // Dried again: to this share of the target.
  void lower(double share) { lowered_ *= share; }
  // Where the mass that everything is a share of turns out to be another.
  void amend(std::int64_t begin_ug);

  bool begun() const { return !points_.empty(); }
  const Point& last() const { return points_.back(); }
  std::int64_t weigh_ins() const { return struck_ + static_cast<std::int64_t>(points_.size()); }
  std::int64_t begin_ug() const;                         // of what is there now
  std::int64_t loaded_ug() const { return loaded_ug_; }  // at the first weigh-in
  std::int64_t target_ug() const;                        // of what is there now
  std::int64_t empty_ug() const;                         // all trays
  std::int64_t dry_ug() const;  // dry matter of what is there now; 0 where only a loss is stated
  double lost_pct() const;
  std::optional<double> water_pct() const;
  std::optional<preserving::DryingForecast> forecast() const;
  std::optional<preserving::DryingExpected> expected(std::int64_t at_ms) const;
  proto::ToWeight status() const;

 private:
  std::vector<preserving::DryPoint> points() const;

  std::int64_t left_ppm_;
  std::int64_t water_ppm_;
  std::int64_t begin_ug_ = 0;
  std::int64_t loaded_ug_ = 0;
  double kept_ = 1;
  double lowered_ = 1;
  std::int64_t struck_ = 0;
  std::vector<Point> points_;  // masses of what is there now
};

}  // namespace maslin::batch
