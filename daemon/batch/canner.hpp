// The canner while the cook works at the pan: since when it is on the heat, how its water warms,
// when the jars can go in. Part of the desk. It foresees, so that the pan can wait; no time of the
// water bath rests on it (bath.hpp).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/preserving/boil_watch.hpp"

namespace maslin::batch {

class Desk;

class Canner {
 public:
  Canner() : watch_(preserving::canner_rule) {}
  bool lit() const { return lit_ms_.has_value(); }
  void light(Desk& desk, const char* evidence);
  // Its thermometer has a new value.
  void changed(Desk& desk);
  // A span was not watched: the curve begins anew.
  void unwatched();
  void seen_boiling(Desk& desk);
  // The jars go in: from here on the bath watches.
  void hand_over() { handed_over_ = true; }
  bool boils() const { return boils_since_ms_.has_value(); }
  // The empty jars have boiled as long as they must, by the cook's word: no thermometer tells a
  // hard boil from water that stands a little below it.
  bool jars_boiled(const Desk& desk) const;
  // It should boil by now, and no thermometer says how it stands.
  bool foreseen_is_over(const Desk& desk) const;
  // Measured, or seen by the cook; "" before it boils.
  std::string evidence() const { return std::string(evidence_); }
  // When it boils, and when empty jars have boiled in it for as long as they must.
  std::int64_t boils_ms(const Desk& desk) const;
  std::int64_t ready_ms(const Desk& desk) const;
  std::int64_t lit_ms() const { return lit_ms_.value_or(0); }
  // When it will boil by its thermometer; empty where that says nothing.
  std::optional<preserving::BoilForecast> forecast() const {
    return lit() && !boils() ? watch_.forecast() : std::nullopt;
  }
  // From cold to the boil, once it is known.
  std::optional<std::int64_t> took_ms() const;

 private:
  struct Sample {
    std::int64_t at_ms;
    std::int64_t canner_mk;
    std::int64_t pan_mk;  // 0: not known
  };
  void boil(Desk& desk, std::string_view evidence);
  void look_for_swap(Desk& desk);

  std::optional<std::int64_t> lit_ms_;
  std::optional<std::int64_t> boils_since_ms_;
  std::string_view evidence_;  // of a constant
  preserving::BoilWatch watch_;
  std::vector<Sample> curve_;  // the last minutes of both, thinned out, to tell a swap by
  bool swap_looked_ = false;
  bool handed_over_ = false;
};

}  // namespace maslin::batch
