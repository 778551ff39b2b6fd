// The solids of the pan from three sides that check one another: what was weighed in against what
// is left, how far it boils over water, a refractometer. Part of the desk; heat, dwell, fill and
// the cook's measurements tell it what they find. From the best of them it foresees what the pan
// gives.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/preserving/solids.hpp"

namespace maslin::batch {

class Desk;

class Solids {
 public:
  // The pan boiled at this level, by a thermometer that stands deep enough. Water boils there at no
  // less: what lies under it is no syrup, and says nothing.
  void boiled(Desk& desk, std::int64_t temperature_mk);
  // All that the pan held weighed so much: `jarred` where it is what came out of it, so that what
  // was skimmed and stuck is missing.
  void weighed(Desk& desk, std::int64_t mass_ug, bool jarred);
  // At 20 °C.
  void refracted(Desk& desk, const preserving::SolidsPct& found, std::string detail);

  // What goes into jars, as far as it can be foreseen: empty where too much of what went in is of
  // unknown solids, or nothing tells how much water is left.
  struct Yield {
    double mass_g = 0;
    double volume_ml = 0;
    double u_share = 0;  // relative standard uncertainty of both
  };
  std::optional<Yield> foreseen(const Desk& desk) const;
  // The same as findings of the record.
  void tell_yield(Desk& desk, const Yield& yield);

 private:
  struct Side {
    preserving::SolidsPct found;
    std::int64_t at_ms = 0;
  };
  void take(Desk& desk, const std::string& by, const preserving::SolidsPct& found,
            std::string detail);

  std::map<std::string, Side> sides_;                        // by how it was found
  std::vector<std::pair<std::string, std::string>> differ_;  // said already
};

}  // namespace maslin::batch
