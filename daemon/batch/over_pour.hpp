// The ladder out of an over-pour: every rung with its grams and spoons, or with what blocks it.
// Pure; asked by Weigh, which offers the first rung that works and carries out the one that is
// taken.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/desk.hpp"
#include "daemon/plan/enlarge.hpp"

namespace maslin::batch {

enum class Rung : std::uint8_t { take_out, accept, top_up, larger, refrigerator, start_again };
// As the record has it: "taken out", "accepted", "topped up", "larger batch", "refrigerator",
// "start again".
std::string_view name(Rung rung);

// Where the excess lies.
enum class Lies : std::uint8_t {
  alone,   // in a vessel of its own
  mixed,   // on what was weighed before
  unseen,  // its bottle grew lighter: whether it is alone, only the cook knows
};

struct OverPour {
  std::string ingredient;
  std::int64_t net_ug = 0;  // in all, with what was in of it before
  std::int64_t standard_uncertainty_ug = 0;
  std::int64_t excess_ug = 0;    // over what was asked for
  std::int64_t interval_ug = 0;  // of the scale
  Lies lies = Lies::alone;
  bool undecided = false;  // the scale cannot tell
};

struct Way {
  Rung rung = Rung::take_out;
  bool works = false;
  std::string text;        // what to do, "take 2 tbsp out again, 30 g"
  std::string blocked_by;  // as RefusedWay's; empty where it works
  std::string why;
  std::optional<plan::Enlarged> plan;  // top_up and larger, where they work
};

// "14 % larger"
std::string larger_by(double factor);

// In the order in which they are to be tried. What is left although it is not quite the same food
// comes a second time, after what would mend it.
std::vector<Way> ways_out(const Desk& desk, const OverPour& over);

// What is in by now, for plan/enlarge: everything that is done, and `more` beside it or in place of
// what was known of it.
std::vector<plan::Holding> holdings_in(const Desk& desk, const plan::Holding& more);

}  // namespace maslin::batch
