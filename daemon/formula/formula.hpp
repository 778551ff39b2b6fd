// The model of a formula: what the file says, with every amount resolved to micrograms at the size
// as written. Made by read(), scaled by plan/. A value type; nothing in it is checked again later.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/quantity/household.hpp"
#include "proto/trouble.hpp"

namespace maslin::formula {

enum class Counts : std::uint8_t {
  acid,
  low_acid_food,
  sugar,
  pectin,
  salt,
  water,
  curing_salt,
  meat,
  other
};
std::string_view name(Counts counts);  // "low-acid food"
std::optional<Counts> counts_named(std::string_view text);

// The groups that one side of a ratio sums up.
using Groups = std::vector<Counts>;
std::string text(const Groups& groups);  // "meat and water"
bool has(const Groups& groups, Counts counts);

enum class Keeping : std::uint8_t { shelf, refrigerator, freezer };
std::string_view name(Keeping keeping);
std::optional<Keeping> keeping_named(std::string_view text);

// What an amount weighs: "1 cup" is 160 g, with where that comes from.
struct Weighs {
  quantity::Amount amount;
  std::int64_t mass_ug = 0;
  std::string source;  // "the formula" or the row of the table
  // Whose cup `amount` means: a table row is US customary whatever the formula uses.
  quantity::Cups cups = quantity::Cups::us_customary;
};

struct Ingredient {
  std::string name;
  quantity::Amount amount;
  std::string form;     // "chopped", "medium"; may be empty
  std::string like;     // the food of the table that it is; may be empty
  bool bought = false;  // the amount is as bought, not as prepared
  Counts counts_as = Counts::other;
  bool lead = false;
  bool hot = false;           // burns the hands
  std::int64_t mass_ug = 0;   // of the amount
  std::string mass_source;    // how the mass was found
  std::int64_t below_ug = 0;  // band at the size as written; scales with it
  std::int64_t above_ug = 0;
  std::vector<Weighs> weighs;
  std::int64_t solids_ppm = -1;  // soluble solids in it, millionths; -1: not known
  // Curing salt: sodium nitrite in the mix that the formula means, in millionths of it, and the
  // kind of product whose limit it keeps. 0 and empty in all else.
  std::int64_t nitrite_ppm = 0;
  std::string nitrite_limit;

  // By its own name or by the food of the table that it is like, in any letters.
  bool speaks_of(std::string_view what) const;
  bool is_vinegar() const { return counts_as == Counts::acid && speaks_of("vinegar"); }
};

// least: mass(of) >= limit * mass(per); else mass(of) <= limit * mass(per). In millionths, rounded
// to the safe side where the limit as written has more digits. What is written as a share of a
// whole that it is part of ("salt" per "salt and water", a brine) is held as `of` beside the rest.
struct Ratio {
  Groups of = {Counts::acid};
  Groups per = {Counts::low_acid_food};  // without what is in `of`
  bool least = true;
  std::int64_t limit_ppm = 0;
  std::int64_t share_ppm = 0;  // of both together, as written; 0: it is no share
  // So many millionths of a curing salt count to `of` as well: what of the mix is salt. 0: none.
  std::int64_t cure_ppm = 0;
  std::optional<Keeping> only_for;  // critical where it is kept so; empty: however it is kept

  // "salt and water" of a brine: a share is told with the whole that it is part of.
  std::string per_text() const;
  bool holds_for(Keeping keeping) const { return !only_for || *only_for == keeping; }
};

enum class Kind : std::uint8_t {
  prepare,
  weigh,
  heat,
  dwell,
  fill,
  water_bath,
  cool,
  seal_check,
  dry,
  condition,
  stand
};
std::string_view name(Kind kind);  // "water bath"
std::optional<Kind> kind_named(std::string_view text);

enum class Until : std::uint8_t { none, boil, temperature, above_boil, weight, eye, loss, water };
std::string_view name(Until until);  // "above boil"; "" for none
std::optional<Until> until_named(std::string_view text);

// One row of a water bath as the source prints it: these minutes up to and with this altitude.
struct BathRow {
  std::int64_t minutes = 0;
  std::optional<std::int64_t> to_ft;  // empty: above all others
};

struct Operation {
  Kind kind = Kind::prepare;
  std::string text;
  std::vector<std::string> ingredients;
  Until until = Until::none;        // heat: its end; dwell: what must hold meanwhile
  std::int64_t temperature_mk = 0;  // until temperature
  std::int64_t above_boil_mk = 0;   // until above boil
  std::int64_t target_ug = 0;       // until weight, of what is in the pan at the size as written
  std::int64_t duration_ms = 0;     // dwell, cool, stand
  std::int64_t longest_ms = 0;      // at the boil, drying, or not sour at end_ph; 0 none
  bool begins_again = false;        // dwell: a lost boil begins the time again, else it goes on
  std::vector<BathRow> bath;        // water bath
  double jar_ml = 0;                // water bath: the largest jar that its rows are printed for
  std::int64_t left_ppm = 0;        // dry: what is left of it when it is dry, in millionths
  std::int64_t water_ppm = 0;       // dry until water: what it has at the beginning
  std::int64_t every_ms = 0;        // dry: the first weigh-in after so long; 0 not said
  bool hung = false;                // dry: weighed piece by piece, without trays
  double end_ph = 0;                // stand: highest equilibrium pH at its end; 0 none asked for
  // Stand and dry: what the place may have, 0 where nothing bounds it; how long altogether it may
  // be outside of that, the longest gap without a reading, and whether what was outside for longer
  // is discarded.
  std::int64_t least_mk = 0;
  std::int64_t most_mk = 0;
  std::int64_t outside_ms = 0;
  std::int64_t unmeasured_ms = 0;
  bool cold_chain = false;
};

struct Jars {
  quantity::Rational count;   // 0: the formula names none
  std::string size;           // "250 mL"
  double ml = 0;              // the same; 0 where there are none
  std::int64_t litre_ug = 0;  // what a litre of what goes into them weighs; 0: not said
};

struct Formula {
  std::string name;
  std::string text_sha256;  // left empty by read(): whoever has the hash fills it in
  bool tested = false;
  std::string source;     // what a tested formula cites
  bool invented = false;  // an example, and says so
  std::string note;
  Keeping keeping = Keeping::refrigerator;
  quantity::Cups cups = quantity::Cups::us_customary;
  double largest_multiple = 1;
  double most_ph = 0;                // highest equilibrium pH; 0: the formula names none
  std::int64_t longest_boil_ms = 0;  // at the boil altogether; 0: the formula names none
  std::int64_t good_ms = 0;          // how long it keeps as it is meant to be kept; 0: not said
  Jars jars;
  std::vector<Ingredient> ingredients;
  std::vector<Ratio> ratios;
  std::vector<Operation> operations;

  const Ingredient* find(std::string_view ingredient) const;  // nullptr where nobody has the name
  const Ingredient* lead() const;                             // nullptr where there is none
};

// "250 mL", "1/2 pint", "half-pint", "quart": what a jar holds, in millilitres.
proto::Result<double> jar_ml(std::string_view text, quantity::Cups cups);

// Mass of any amount of an ingredient, by what it weighs. The trouble names what has to be stated.
proto::Result<std::int64_t> mass_of(const Ingredient& ingredient, const quantity::Amount& amount,
                                    quantity::Cups cups);

}  // namespace maslin::formula
