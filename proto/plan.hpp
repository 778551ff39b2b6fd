// A plan: a formula scaled to what is at hand, on this equipment, at this altitude, with every
// limit resolved to integers. Made by plan/, kept in the start entry, shown by the client. Masses
// are micrograms in air as a recipe means them, temperatures millikelvin.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace maslin::proto {

// Vinegar for preserving is 5 % acetic acid by its label: USDA Complete Guide to Home Canning (AIB
// 539). Limits over vinegar mean this strength.
inline constexpr double vinegar_means_pct = 5;

struct PlannedIngredient {
  std::string name;
  std::string amount;     // household amount after scaling, "1 1/3 cups"
  std::string counts_as;  // acid, low-acid food, sugar, pectin, salt, water, curing salt, meat,
                          // other
  std::string basis;      // "prepared" or "bought"
  bool lead = false;
  bool critical = false;      // takes part in a critical ratio, or is curing salt
  bool unsafe_under = false;  // less than its band is unsafe, not only worse
  bool unsafe_over = false;
  std::int64_t nominal_ug = 0;  // what the formula asks for, scaled
  std::int64_t aim_ug = 0;      // what to pour: inside the critical limit by guard and usual spread
  std::int64_t lower_ug = 0;    // band
  std::int64_t upper_ug = 0;
  std::int64_t accept_lower_ug = 0;  // acceptance interval: the band less its guard where critical
  std::int64_t accept_upper_ug = 0;
  std::string check;    // "weigh", "by measure" (no scale at hand can judge it), "count"
  std::string role;     // scale that judges it: "bench", "fine" or ""
  std::string reason;   // why it cannot be judged, or why the aim is off the nominal; may be empty
  std::string kitchen;  // the aim in cups, spoons or pieces; empty where only grams say it
  std::string form;     // "chopped", as it is measured so; may be empty
  std::int64_t cup_ug = 0;       // what a cup of it weighs; 0 not known
  std::int64_t solids_ppm = -1;  // soluble solids in it, millionths; -1 not known
  friend bool operator==(const PlannedIngredient&, const PlannedIngredient&) = default;
};

// `least`: amount(of) >= limit * amount(per); otherwise amount(of) <= limit * amount(per).
// The limit is an integer in millionths, so that it is compared without rounding.
struct PlannedRatio {
  std::string of;
  std::string per;
  bool least = true;
  std::int64_t limit_ppm = 0;
  std::vector<std::string> of_names;
  std::vector<std::string> per_names;
  // The limit as the formula writes it, where it is a share of both sides together (salt of the
  // brine); limit_ppm is then the same of `of` beside the rest of them. 0: no such share.
  std::int64_t share_ppm = 0;
  // So many millionths of the mass of each of `of_names` count: a curing salt is not all salt.
  // Empty: all of each.
  std::vector<std::int64_t> of_ppm = {};
  friend bool operator==(const PlannedRatio&, const PlannedRatio&) = default;
};

struct PlannedOperation {
  // prepare, weigh, heat, dwell, fill, water bath, cool, seal check, dry, condition, stand; put in
  // by the plan: canner (start it), wait (the pan waits for it)
  std::string kind;
  std::string text;                      // what the cook does, one line
  std::vector<std::string> ingredients;  // weigh: in this order; heat: what goes in
  std::string until;  // heat: "boil", "temperature", "above boil", "weight", "eye"; dwell: what
                      // must hold meanwhile, "boil", "temperature" or ""; else ""
  std::int64_t target_mk =
      0;  // heat until temperature; the local value where until is "above boil"
  std::int64_t duration_ms = 0;  // dwell, stand
  std::int64_t longest_ms = 0;   // greatest time at the boil, drying, or not sour; 0 none
  std::string caution;           // said once at this step; may be empty
  std::int64_t target_ug = 0;    // heat until weight
  bool by_eye = false;           // the pan is too shallow for a probe: shown, never decisive;
                                 // stand: no thermometer of the place, the cook is asked daily
  bool restarts = false;         // dwell: a lost boil begins the time again, else it pauses
  std::int64_t expect_ms = 0;    // about how long it takes, for the schedule; 0 not known
  std::int64_t left_ppm = 0;   // dry: what is left of what went on the trays when it is dry; else 0
  std::int64_t water_ppm = 0;  // dry: water in it at the beginning; 0 where only a loss is stated
  std::int64_t every_ms = 0;   // dry: the first weigh-in after so long; condition: looked at again
  bool hung = false;           // dry: pieces that are weighed as they are, without trays
  double end_ph = 0;           // stand: the highest equilibrium pH at its end; 0 none asked for
  // Stand and dry: what the place may have, 0 where nothing bounds it; how long altogether it may
  // be outside of that; the longest gap without a reading whose two ends are inside.
  std::int64_t least_mk = 0;
  std::int64_t most_mk = 0;
  std::int64_t outside_ms = 0;
  std::int64_t unmeasured_ms = 0;
  bool cold_chain = false;  // what was outside for too long is discarded
  friend bool operator==(const PlannedOperation&, const PlannedOperation&) = default;
};

struct Caution {
  std::string at;  // plan, cutting, weighing, first boil ...
  std::string text;
  std::string evidence;  // "published", "published, from memory", "common practice"
  friend bool operator==(const Caution&, const Caution&) = default;
};

struct Plan {
  std::string formula;         // its name
  std::string formula_sha256;  // of the exact text
  std::string status;          // "tested" or "own"
  std::string source;          // what a tested formula cites
  std::string keeping;         // shelf, refrigerator, freezer
  std::string
      may_be_called;  // first line of plan and report: what this batch may be called and why
  double factor = 1;
  double largest_multiple = 1;
  bool provisional = false;  // the lead is only counted or guessed so far
  std::string lead;          // name, may be empty
  std::string units;         // which comes first, "kitchen" or "grams"
  std::string cups;          // whose cups and spoons: "US customary", "US label", "metric"
  std::string jars;          // "4 jars of 250 mL"; may be empty
  std::string limited_by;    // what sets the size of the batch, and what is short for it; or empty
  std::vector<std::string> asks;  // facts that it needs and nobody has told, each with how to tell
  std::int64_t pots = 1;          // so many of this plan, one after the other
  double jar_ml = 0;              // of one jar to its brim; 0 not known
  double yield_ml = 0;            // that the jars will take; 0 not known
  std::int64_t litre_ug = 0;      // what a litre of it weighs; 0: the formula does not say
  std::int64_t canner_loads = 0;  // of one pot; 0 without a water bath
  std::int64_t sterilise_ms = 0;  // the empty jars boil for so long beforehand; 0 not needed
  std::int64_t canner_ms = 0;  // from cold to the boil, as far as it can be foreseen; 0 not known
  std::int64_t longest_boil_ms = 0;  // at the boil altogether: acid leaves with the steam; 0 none
  double most_ph = 0;                // highest equilibrium pH that the formula allows; 0 none
  std::int64_t good_ms = 0;          // how long the formula says that it keeps; 0 not said
  std::vector<PlannedIngredient> ingredients;
  std::vector<PlannedRatio> ratios;
  std::vector<PlannedOperation> operations;
  std::vector<Caution> cautions;
  std::vector<std::string> notes;  // what the scale at hand can and cannot check, and the like
  // Curing salt: sodium nitrite in it by its label; the most that may go in, by the kind of
  // product, and where that comes from. 0 and empty without curing salt.
  double nitrite_pct = 0;
  double nitrite_most_ppm = 0;
  std::string nitrite_for;
  std::string nitrite_source;
  std::optional<double> altitude_m;
  std::int64_t boiling_point_mk = 0;  // of water here; 0 where the altitude is not known
  friend bool operator==(const Plan&, const Plan&) = default;
};

// What can be asked of a formula. At most one of have, jars, factor.
struct PlanRequest {
  std::string text;               // the formula
  std::string file;               // its name, for messages
  std::vector<std::string> have;  // "onion=640 g"
  std::optional<double> jars;
  std::optional<double> factor;
  std::string keeping;  // "" as the formula says
  std::string units;    // "kitchen", "grams"; "" as the settings say
  std::string parent;   // the batch that this one is a remake of; may be empty
};

}  // namespace maslin::proto
