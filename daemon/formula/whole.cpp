// Checks over all parts of a formula; see parts.hpp.
#include <algorithm>
#include <set>

#include "daemon/formula/parts.hpp"
#include "daemon/quantity/decimal.hpp"
#include "proto/nearest.hpp"

namespace maslin::formula {
namespace {

using quantity::Wide;

// Names are how steps, requests and the record speak of ingredients, so each is there once.
void check_names(const Formula& formula, const Places& places, Faults& faults) {
  std::set<std::string> seen;
  const Ingredient* lead = nullptr;
  for (std::size_t i = 0; i < formula.ingredients.size(); ++i) {
    const Ingredient& ingredient = formula.ingredients[i];
    const Position& at = places.ingredients[i];
    if (!ingredient.name.empty() && !seen.insert(ingredient.name).second) {
      faults.add(at, "\"" + ingredient.name + "\" stands in the formula twice",
                 "give each ingredient a name of its own, or put both amounts into one");
    }
    if (!ingredient.lead) continue;
    if (lead != nullptr) {
      faults.add(at, "a second lead, after \"" + lead->name + "\"", "write lead = true only once");
    } else {
      lead = &ingredient;
    }
    if (ingredient.bought) {
      faults.add(at, "the lead is given as bought",
                 "write the prepared amount and basis = \"prepared\": only that is weighed");
    }
  }
}

// A weigh step without names means "everything else". It is written out here, so that nothing
// after this has to know the rule. Of two such steps the first takes all.
void name_what_is_left(Formula& formula, Places& places) {
  std::set<std::string> weighed;
  for (const Operation& operation : formula.operations) {
    if (operation.kind != Kind::weigh) continue;
    weighed.insert(operation.ingredients.begin(), operation.ingredients.end());
  }
  for (std::size_t i = 0; i < formula.operations.size(); ++i) {
    Operation& operation = formula.operations[i];
    if (operation.kind != Kind::weigh || !operation.ingredients.empty()) continue;
    for (const Ingredient& ingredient : formula.ingredients) {
      if (!weighed.insert(ingredient.name).second) continue;
      operation.ingredients.push_back(ingredient.name);
      places.mentioned[i].push_back(places.operations[i]);
    }
  }
}

// Every ingredient is weighed once, the lead before all others, and no dwell waits for a heat
// that the formula never asks for.
void check_steps(const Formula& formula, const Places& places, Faults& faults) {
  std::vector<std::string> names;
  for (const Ingredient& ingredient : formula.ingredients) {
    if (std::find(names.begin(), names.end(), ingredient.name) == names.end()) {
      names.push_back(ingredient.name);
    }
  }
  std::set<std::string> weighed;
  std::set<std::string> meant;  // by a name that is only misspelt
  const Ingredient* lead = formula.lead();
  bool boils = false;
  bool dried = false;
  bool at_temperature = false;
  for (std::size_t i = 0; i < formula.operations.size(); ++i) {
    const Operation& operation = formula.operations[i];
    for (std::size_t j = 0; j < operation.ingredients.size(); ++j) {
      const std::string& name = operation.ingredients[j];
      const Position& at = places.mentioned[i][j];
      if (formula.find(name) == nullptr) {
        const std::string near = proto::nearest(name, names);
        faults.add(
            at, "the formula has no ingredient \"" + name.substr(0, 60) + "\"",
            near.empty() ? "write one of " + proto::listed(names) : "write \"" + near + "\"");
        meant.insert(near);
        continue;
      }
      if (operation.kind != Kind::weigh) {
        const auto begin = operation.ingredients.begin();
        const auto here = begin + static_cast<std::ptrdiff_t>(j);
        if (std::find(begin, here, name) != here) {
          faults.add(at, "\"" + name + "\" is named twice in this operation", "name it once");
        }
        continue;
      }
      if (lead != nullptr && weighed.empty() && name != lead->name) {
        faults.add(at, "\"" + name + "\" is weighed before the lead, \"" + lead->name + "\"",
                   "weigh the lead first: it sets how much of all others there is");
      }
      if (!weighed.insert(name).second) {
        faults.add(at, "\"" + name + "\" is weighed twice", "name it in one weigh operation only");
      }
    }
    if (operation.kind == Kind::heat) {
      // A boil judged by eye after a boil stays one: "until it sheets" does not let the pan cool.
      boils = operation.until == Until::boil || operation.until == Until::above_boil ||
              (boils && operation.until == Until::eye);
      at_temperature = operation.until == Until::temperature;
    }
    dried = dried || operation.kind == Kind::dry;
    if (operation.kind == Kind::condition && !dried) {
      faults.add(places.operations[i], "nothing is dried before this conditioning",
                 "put an operation of kind \"dry\" before it");
    }
    if (operation.kind != Kind::dwell) continue;
    if (operation.until == Until::boil && !boils) {
      faults.add(places.operations[i], "nothing brings the pan to the boil before this dwell",
                 "put an operation heat with until = \"boil\" before it");
    }
    if (operation.until == Until::temperature && !at_temperature) {
      faults.add(places.operations[i], "nothing brings the pan to a temperature before this dwell",
                 "put an operation heat with until = \"temperature\" before it");
    }
  }
  for (std::size_t i = 0; i < formula.ingredients.size(); ++i) {
    const std::string& name = formula.ingredients[i].name;
    // Said once of each, and not of what only another fault keeps from being weighed.
    if (name.empty() || meant.contains(name) || !places.kinds_known) continue;
    if (!weighed.insert(name).second) continue;
    faults.add(places.ingredients[i], "no step weighs \"" + name + "\"",
               "name it in an operation of kind \"weigh\"");
  }
}

// The salt in a curing salt counts as salt of the meat: all of the mix that is no nitrite. Against
// a greatest share the plan counts it, once the label is known and nitrite itself is judged.
Wide salt_in_cure(const Formula& formula, const Ratio& ratio) {
  if (!ratio.least || !has(ratio.of, Counts::salt) || !has(ratio.per, Counts::meat) ||
      has(ratio.of, Counts::curing_salt)) {
    return 0;
  }
  Wide sum = 0;
  for (const Ingredient& one : formula.ingredients) {
    if (one.counts_as == Counts::curing_salt) {
      sum += Wide{one.mass_ug} * (1'000'000 - one.nitrite_ppm) / 1'000'000;
    }
  }
  return sum;
}

// Summed wide: thousands of ingredients at the largest amounts must not wrap around a limit.
Wide mass_of(const Formula& formula, const Groups& groups) {
  Wide sum = 0;
  for (const Ingredient& ingredient : formula.ingredients) {
    if (has(groups, ingredient.counts_as)) sum += ingredient.mass_ug;
  }
  return sum;
}

bool anyone_in(const Formula& formula, Counts group) {
  return std::any_of(formula.ingredients.begin(), formula.ingredients.end(),
                     [&](const Ingredient& i) { return i.counts_as == group; });
}

// The amounts as written have to keep the formula's own ratios, else no scaling of them does.
void check_ratio(const Formula& formula, const Ratio& ratio, const Position& at, Faults& faults) {
  if (ratio.of.empty() || ratio.per.empty()) return;  // a fault that is reported elsewhere
  Groups all = ratio.of;
  all.insert(all.end(), ratio.per.begin(), ratio.per.end());
  for (const Counts group : all) {
    if (anyone_in(formula, group)) continue;
    faults.add(at, "no ingredient counts as \"" + std::string(name(group)) + "\"",
               "write counts_as = \"" + std::string(name(group)) +
                   "\" in the ingredient that it is, or remove the ratio");
    return;
  }
  // A ratio is kept by what goes into the pan: trimmings must not count.
  for (const Ingredient& ingredient : formula.ingredients) {
    const bool counts = has(all, ingredient.counts_as);
    if (counts && ingredient.bought) {
      faults.add(at, "the ratio counts \"" + ingredient.name + "\", which is given as bought",
                 "write its prepared amount and basis = \"prepared\"");
    }
  }
  const Wide of = mass_of(formula, ratio.of) + salt_in_cure(formula, ratio);
  const Wide per = mass_of(formula, ratio.per);
  if (of == 0 || per == 0 || ratio.limit_ppm == 0) return;  // a fault that is reported elsewhere
  const Wide have = of * 1'000'000;
  const Wide limit = per * ratio.limit_ppm;
  if (ratio.least ? have >= limit : have <= limit) return;
  const auto figure = [](double value) { return quantity::plain(value, 3); };
  faults.add(at,
             "the formula itself breaks this ratio: its " + text(ratio.of) + " per " +
                 text(ratio.per) + " is " +
                 figure(static_cast<double>(of) / static_cast<double>(per)),
             std::string("the limit asks for at ") + (ratio.least ? "least " : "most ") +
                 figure(static_cast<double>(ratio.limit_ppm) / 1e6) +
                 ": correct the amounts or the limit");
}

// What only a tested formula may promise.
void check_keeping(const Formula& formula, const Places& places, Faults& faults) {
  const auto operation_of = [&](Kind kind) {
    const auto found = std::find_if(formula.operations.begin(), formula.operations.end(),
                                    [&](const Operation& o) { return o.kind == kind; });
    return static_cast<std::size_t>(found - formula.operations.begin());
  };
  const std::size_t bath = operation_of(Kind::water_bath);
  if (!formula.tested && bath < formula.operations.size()) {
    faults.add(places.operations[bath], "a water bath in a formula without a tested source",
               "remove it: its time would promise a shelf that nobody has tested");
  }
  if (bath < formula.operations.size() && formula.operations[bath].jar_ml == 0 &&
      formula.jars.ml == 0) {
    faults.add(places.operations[bath], "a water bath that does not say for which jars",
               "write jar = \"250 mL\", the largest jar that its rows are printed for");
  }
  if (anyone_in(formula, Counts::meat) &&
      (formula.keeping == Keeping::shelf || bath < formula.operations.size())) {
    faults.add({1, 1}, "meat for the shelf: it is low-acid, and a pressure canner's work",
               "write keeping = \"refrigerator\" or \"freezer\", and no water bath");
  }
  if (!formula.tested || formula.keeping != Keeping::shelf) return;
  for (const Kind kind : {Kind::water_bath, Kind::seal_check}) {
    if (operation_of(kind) < formula.operations.size()) continue;
    faults.add({1, 1}, "a shelf formula without a step \"" + std::string(name(kind)) + "\"",
               "add an operation of that kind, or write keeping = \"refrigerator\"");
  }
  // Without this ratio nothing would hold the acid while the batch is scaled and weighed.
  const bool acidified =
      std::any_of(formula.ratios.begin(), formula.ratios.end(), [](const Ratio& r) {
        return r.least && r.of == Groups{Counts::acid} && has(r.per, Counts::low_acid_food);
      });
  if (anyone_in(formula, Counts::low_acid_food) && !acidified) {
    faults.add({1, 1}, "low-acid food for the shelf without a least share of acid",
               "add a [[ratio]] of \"acid\" per \"low-acid food\" with the source's least");
  }
}

// Longer above the cold, and longer unwatched, no meat is kept; 2 h of the cold chain by the USDA
// (from memory), the rest common practice, no source.
constexpr std::int64_t cold_meat_mk = 273'150 + 5000;
constexpr std::int64_t warm_meat_ms = 2 * 3'600'000;
constexpr std::int64_t unwatched_meat_ms = 12 * 3'600'000;
// A drier for meat: USDA Food Safety and Inspection Service on jerky, 130 °F (from memory).
constexpr std::int64_t hot_meat_mk = 273'150 + 54'000;

// Nothing else among it may stand in for the salt, nor for the meat.
bool is_salt(const Groups& groups) {
  return has(groups, Counts::salt) && std::all_of(groups.begin(), groups.end(), [](Counts one) {
           return one == Counts::salt || one == Counts::curing_salt;
         });
}
bool is_meat(const Groups& groups) {
  return has(groups, Counts::meat) && std::all_of(groups.begin(), groups.end(), [](Counts one) {
           return one == Counts::meat || one == Counts::water;
         });
}

// Curing salt goes into meat that is kept cold, between two limits of salt; anything else is a
// mistake of whoever wrote it.
void check_cure(const Formula& formula, Faults& faults) {
  if (!anyone_in(formula, Counts::curing_salt)) return;
  if (!anyone_in(formula, Counts::meat)) {
    faults.add({1, 1}, "curing salt without meat", "write counts_as = \"meat\" in the meat");
    return;
  }
  for (const bool least : {true, false}) {
    const bool salted = std::any_of(
        formula.ratios.begin(), formula.ratios.end(),
        [&](const Ratio& r) { return r.least == least && is_salt(r.of) && is_meat(r.per); });
    if (salted) continue;
    faults.add({1, 1},
               std::string("a cure without a ") + (least ? "least" : "greatest") + " share of salt",
               std::string("add a [[ratio]] of \"salt\" per \"meat\", or per \"meat and water\", "
                           "with a ") +
                   (least ? "least" : "most"));
  }
}

// Meat stands in the cold or not at all, also without curing salt.
void check_cold_chain(const Formula& formula, const Places& places, Faults& faults) {
  if (!anyone_in(formula, Counts::meat)) return;
  for (std::size_t i = 0; i < formula.operations.size(); ++i) {
    const Operation& one = formula.operations[i];
    const Position& at = places.operations[i];
    if (one.kind != Kind::stand && one.kind != Kind::dry) {
      const bool long_one = one.kind == Kind::cool || one.kind == Kind::condition;
      if (!long_one || one.duration_ms <= warm_meat_ms) continue;
      faults.add(at, "meat that stands for hours without a cold chain",
                 "write it as kind = \"stand\" with most = \"4 °C\" and cold_chain = true");
      continue;
    }
    const bool cold = one.cold_chain && one.most_mk > 0 && one.most_mk <= cold_meat_mk;
    const bool hot = one.kind == Kind::dry && one.least_mk >= hot_meat_mk;
    const bool watched = one.outside_ms <= warm_meat_ms && one.unmeasured_ms <= unwatched_meat_ms;
    if ((cold || hot) && watched) continue;
    if (one.kind == Kind::dry) {
      faults.add(at,
                 cold || hot ? "meat that dries, and is outside of its bounds or unwatched for long"
                             : "meat that dries, and nothing says in what cold or heat",
                 "hung in the cold: write cold_chain = true and most = \"4 °C\" (5 °C at most); in "
                 "a hot drier: least = \"54 °C\"; in both outside at most 2 h, unmeasured at most "
                 "12 h");
      continue;
    }
    faults.add(at, "meat that stands outside of the cold chain",
               "write cold_chain = true and most = \"4 °C\" (5 °C at most), outside at most 2 h, "
               "unmeasured at most 12 h");
  }
}

}  // namespace

void check_whole(Formula& formula, Places& places, Faults& faults) {
  if (formula.ingredients.empty()) {
    faults.add({1, 1}, "the formula has no ingredient", "begin each with a line [[ingredient]]");
  }
  if (formula.operations.empty()) {
    faults.add({1, 1}, "the formula has no step", "begin each with a line [[operation]]");
  }
  check_names(formula, places, faults);
  if (!formula.operations.empty()) {
    name_what_is_left(formula, places);
    check_steps(formula, places, faults);
  }
  for (std::size_t i = 0; i < formula.ratios.size(); ++i) {
    check_ratio(formula, formula.ratios[i], places.ratios[i], faults);
  }
  check_keeping(formula, places, faults);
  check_cure(formula, faults);
  check_cold_chain(formula, places, faults);
}

}  // namespace maslin::formula
