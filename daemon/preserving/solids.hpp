// Soluble solids of a pan from what was weighed in, and how well each way of finding them knows
// them. Asked by batch/solids, which holds the ways against one another.
#pragma once

#include <cstdint>
#include <span>

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Percent by mass and its standard uncertainty.
struct SolidsPct {
  double pct = 0;
  double u_pct = 0;
};

// What went in. `share` of it is soluble solids, by `share_u` standard; below 0: not known.
struct SolidsIn {
  double mass_g = 0;
  double mass_u_g = 0;
  double share = 0;
};
struct SolidsSum {
  double all_g = 0;
  double solids_g = 0;
  double solids_u_g = 0;
  double unknown_share = 0;  // of all: nobody has told what is in it
};
// A share that was told is good to a tenth of itself, sugar, salt and water to nothing (common
// practice, no source: fruit varies). What is not known counts as anything from none to all.
SolidsSum solids_in(std::span<const SolidsIn> parts);

// By its boil, as sucrose: what the probe is good for, the weather where the boiling point of water
// comes from an altitude (900 Pa, our judgement), and 1.5 % for acid, pectin and inverted sugar,
// which are no sucrose (common practice, no source). Errors as solids_of_boiling_pct.
proto::Result<SolidsPct> solids_by_boil(double boiling_k, double boiling_u_k, double pressure_pa);

// What is in the jars of a pan that held so much: less what was skimmed and what stuck, 3 % (2 to 5
// %: common practice, no source).
inline constexpr double kLost = 0.03;
inline constexpr double kLostU = 0.012;

}  // namespace maslin::preserving
