// What the cook has told of what stands in the kitchen, while hands are clean: remembered between
// batches until it changes, and kept with every batch as it was. Empty, zero and "" mean: not told.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace maslin::proto {

struct Lot {
  std::string of;   // ingredient, "jars", "lids"
  std::string lot;  // as printed on it; untrusted
  friend bool operator==(const Lot&, const Lot&) = default;
};

// What pours and scales have taught, no cook has told.
struct Learned {
  std::string what;  // stop delay, asleep after, stuck
  std::string of;    // ingredient, empty for all pours together; the device
  std::int64_t value_ms = 0;
  std::int64_t spread_ms = 0;  // standard deviation; 0 not known
  std::int64_t times = 0;      // that it was seen
  std::string by{};            // the cook, where one is named
  std::int64_t vessel_ug = 0;  // the empty vessel that was poured into; 0: any
  std::int64_t value_ug = 0;   // stuck: what the emptied vessel came back with, on average
  friend bool operator==(const Learned&, const Learned&) = default;
};

struct Facts {
  std::optional<double> vinegar_pct;       // acetic acid by the label of this bottle, percent
  std::optional<double> nitrite_pct;       // sodium nitrite by the label of this curing salt
  std::string pectin;                      // powdered, liquid
  std::optional<double> pectin_package_g;  // net weight of this package
  std::string pectin_date;                 // best before, ISO date
  std::string jar_kind;                    // two-piece lid, screw lid, clip
  std::optional<double> jar_ml;            // what one jar holds up to its brim
  std::optional<double> jar_cm;            // its height with the lid on
  std::optional<std::int64_t> jars;        // how many there are
  std::optional<std::int64_t> lids;        // new ones
  std::optional<double> vessel_g;          // of an empty vessel that is known: it checks the scale
  std::optional<double> pan_cm;            // inner diameter of the pan
  std::optional<double> pan_l;             // what the pan holds up to its brim
  std::string pan_metal;                 // stainless steel, enamel, aluminium, copper, brass, iron
  std::optional<double> canner_l;        // water in the canner
  std::optional<double> canner_cm;       // its inner diameter
  std::optional<double> canner_high_cm;  // its height inside, from the rack
  std::optional<std::int64_t> canner_jars;  // jars that fit in at once
  std::optional<double> canner_min;  // minutes that it took from cold to the boil, the last time
  std::optional<double> canner_kw;   // of the burner under it
  std::string cook;                  // who works: the stop is learned by cook; untrusted
  std::vector<Lot> lots;
  std::vector<Learned> learned;
  friend bool operator==(const Facts&, const Facts&) = default;
};

}  // namespace maslin::proto
