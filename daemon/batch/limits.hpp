// What the weighed masses mean for the whole: the lead sets the size of the batch, and the critical
// ratios must hold over what is really in. Used by Weigh.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

// Why this much of the lead cannot be used, or empty.
std::optional<proto::Trouble> lead_refused(const Desk& desk, std::int64_t net_ug);
// Replaces the desk's plan by the final one; lead_refused must have been asked before.
void make_final(Desk& desk, std::int64_t net_ug);

// Everything that is done, as it counts in the ratios: what went in by measure counts as planned,
// unless the cook has told that it was worse, and a weak acid as the acid in it.
// Why no jar of this batch may stand on a shelf: a limit that was left, or a critical amount that
// no scale has confirmed. "" where nothing speaks against it.
std::string not_for_shelf(const Desk& desk);

// "acid per low-acid food"; where the formula bounds it on both sides, with ", least" or ", most".
std::string about(const proto::Plan& plan, const proto::PlannedRatio& ratio);

// Meat is not kept by acid, and is counted in pieces.
bool has_meat(const proto::Plan& plan);

// No scale here judges it: the cook measures.
bool by_measure(const Desk& desk, const std::string& name);

std::vector<plan::WeighedMass> masses_in(const Desk& desk);

// A critical ratio that does not hold with its guard, and what mends it; or what a larger batch
// needs more of.
struct RatioShort {
  std::string about;       // "acid per low-acid food"
  std::string ingredient;  // more of this mends it
  std::int64_t add_ug = 0;
  std::int64_t margin_ug = 0;  // how far inside the limit; below zero: beyond it
  bool broken = false;         // by the weighed figures themselves, not only by their guard
  bool top_up = false;         // no ratio: `ingredient` is topped up after an over-pour
};
// True where the cook knows of a ratio that is short, and it is no worse since by more than what
// its weighings can tell.
bool no_worse(const Desk& desk, const std::string& about, const plan::RatioCheck& check);
// The first one over everything that is done, or empty. One that the cook has accepted is passed
// over for as long as it gets no worse.
std::optional<RatioShort> first_short_ratio(const Desk& desk);

}  // namespace maslin::batch
