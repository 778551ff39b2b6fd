// Reads one [[ingredient]]; see parts.hpp.
#include <algorithm>

#include "daemon/formula/foods.hpp"
#include "daemon/formula/parts.hpp"
#include "daemon/formula/values.hpp"
#include "proto/nearest.hpp"

namespace maslin::formula {
namespace {

const std::vector<std::string> kCountsWords{"acid",  "low-acid food", "sugar", "pectin", "salt",
                                            "water", "curing salt",   "meat",  "other"};

std::vector<std::string> food_names() {
  std::vector<std::string> names;
  for (const Food& food : foods()) names.emplace_back(food.name);
  return names;
}

// The food of the table that the ingredient is, by `like` or by its own name.
const Food* food_of(const Fields& fields, const std::string& name) {
  const Node* like = fields.text("like");
  if (like == nullptr) return find_food(name);
  const Food* food = find_food(like->text);
  if (food == nullptr) {
    const std::string near = proto::nearest(like->text, food_names());
    fields.faults().add(like->at, "the table knows no \"" + like->text.substr(0, 60) + "\"",
                        near.empty() ? "remove the line and say weighs = \"1 cup = ... g\""
                                     : "write \"" + near + "\", or say weighs = \"1 cup = ... g\"");
  }
  return food;
}

// The formula's own values first; of the table only the kinds of measure that they leave open.
std::vector<Weighs> weights_of(const Fields& fields, const Food* food, const std::string& form,
                               quantity::Cups cups) {
  std::vector<Weighs> weights;
  for (const Node* node : fields.texts("weighs")) {
    if (auto own = parse_weighs(node->text, cups)) {
      weights.push_back(std::move(*own));
    } else {
      fields.faults().add(node->at, own.error());
    }
  }
  if (food == nullptr) return weights;
  const std::vector<Weighs> own = weights;
  for (Weighs& row : table_weights(*food, form)) {
    const bool stated = std::any_of(own.begin(), own.end(), [&](const Weighs& w) {
      return quantity::kind(w.amount.measure) == quantity::kind(row.amount.measure);
    });
    if (!stated) weights.push_back(std::move(row));
  }
  return weights;
}

// The row or value that an amount's mass came from, for the plan to show.
std::string source_of(const Ingredient& ingredient) {
  const auto kind = quantity::kind(ingredient.amount.measure);
  if (kind == quantity::MeasureKind::mass) return "stated";
  for (const Weighs& row : ingredient.weighs) {
    if (row.amount.measure == ingredient.amount.measure) return row.source;
  }
  for (const Weighs& row : ingredient.weighs) {
    if (quantity::kind(row.amount.measure) == kind) return row.source;
  }
  return {};
}

void read_band(const Fields& fields, Ingredient& ingredient) {
  const auto side = [&](const Node* node, std::int64_t& width) {
    if (node == nullptr) return;
    const auto band = parse_band(node->text, ingredient.mass_ug);
    if (band) {
      width = *band;
    } else {
      fields.faults().add(node->at, band.error());
    }
  };
  const Node* both = fields.text("band");
  if (both != nullptr && (fields.has("below") || fields.has("above"))) {
    fields.faults().add(both->at, "a band is given twice", "write either band, or below and above");
    return;
  }
  if (both != nullptr) {
    side(both, ingredient.below_ug);
    ingredient.above_ug = ingredient.below_ug;
    return;
  }
  if (fields.has("band")) return;  // of the wrong kind, reported already
  constexpr std::string_view kHow = "write band = \"5 %\", or below = \"3 %\" and above = \"10 g\"";
  side(fields.needed_text("below", std::string(kHow)), ingredient.below_ug);
  side(fields.needed_text("above", std::string(kHow)), ingredient.above_ug);
}

// What of it stays when the water is gone, as far as one can tell without being told. A vinegar's
// acid leaves with the steam, and the rest of it is nothing.
std::int64_t usual_solids_ppm(const Ingredient& ingredient) {
  constexpr std::int64_t all = 1'000'000;
  switch (ingredient.counts_as) {
    case Counts::sugar:
      return ingredient.speaks_of("sugar") ? all : -1;
    case Counts::salt:
    case Counts::curing_salt:
      return all;
    case Counts::water:
      return 0;
    default:
      return ingredient.is_vinegar() ? 0 : -1;
  }
}

void read_solids(const Fields& fields, Ingredient& ingredient) {
  ingredient.solids_ppm = usual_solids_ppm(ingredient);
  const Node* node = fields.text("solids");
  if (node == nullptr) return;
  constexpr std::int64_t all = 1'000'000;
  const auto share = parse_band(node->text, all);  // percent of it, in millionths
  if (share) {
    ingredient.solids_ppm = *share;
  } else {
    fields.faults().add(node->at, "that is no share of solids", "write solids = \"11 %\"");
  }
}

// A mix whose label nobody knows is not used, and which limit it keeps is the formula's to say.
void read_nitrite(const Fields& fields, Ingredient& ingredient) {
  if (ingredient.counts_as != Counts::curing_salt) {
    for (const std::string_view key : {"nitrite", "nitrite_limit"}) {
      if (!fields.has(key)) continue;
      fields.faults().add(fields.at(key), "\"" + std::string(key) + "\" is of curing salt only",
                          "remove it, or write counts_as = \"curing salt\"");
    }
    return;
  }
  if (const Node* node = fields.needed_text(
          "nitrite",
          "write nitrite = \"6.25 %\", as the label of the mix says; a mix without a "
          "label is not used")) {
    const auto share = parse_nitrite(node->text);
    if (share) {
      ingredient.nitrite_ppm = *share;
    } else {
      fields.faults().add(node->at, share.error());
    }
  }
  if (const Node* node = fields.needed_text(
          "nitrite_limit", "write the kind of product whose limit holds, such as \"home cure\"")) {
    ingredient.nitrite_limit = node->text;
  }
}

}  // namespace

Ingredient read_ingredient(const Node& table, quantity::Cups cups, Faults& faults) {
  const Fields fields(table, "an ingredient",
                      {"name", "amount", "form", "basis", "counts_as", "lead", "hot", "band",
                       "below", "above", "weighs", "like", "solids", "nitrite", "nitrite_limit"},
                      faults);
  Ingredient ingredient;
  if (const Node* name = fields.needed_text("name", "write name = \"onion\"")) {
    ingredient.name = name->text;
    // "=" parts name and amount in a request; a line break would tear every table it stands in.
    if (name->text.find_first_of("=\n\r\t") != std::string::npos || name->text.size() > 80) {
      faults.add(name->at, "the name of an ingredient is one short line without \"=\"",
                 "write at most 80 characters");
    }
  }
  if (const Node* form = fields.text("form")) ingredient.form = form->text;
  const Food* food = food_of(fields, ingredient.name);
  // The formula may know better than the table: a mild jalapeno, a fierce "sweet" pepper.
  if (food != nullptr) ingredient.like = food->name;
  ingredient.hot = fields.has("hot") ? fields.yes("hot") : food != nullptr && food->hot;
  ingredient.lead = fields.yes("lead");
  ingredient.weighs = weights_of(fields, food, ingredient.form, cups);

  if (const Node* basis = fields.text("basis")) {
    ingredient.bought = basis->text == "bought";
    if (!ingredient.bought && basis->text != "prepared") {
      std::string todo;
      const std::string what = no_such_word(basis->text, {"prepared", "bought"}, todo);
      faults.add(basis->at, what, todo);
    }
  }
  const auto counts = word<Counts>(
      fields,
      fields.needed_text("counts_as", "write counts_as = one of " + proto::listed(kCountsWords)),
      counts_named, kCountsWords);
  if (counts) ingredient.counts_as = *counts;

  if (const Node* written =
          fields.needed_text("amount", "write amount = \"1 1/3 cups\" or \"250 g\"")) {
    if (const auto amount = quantity::parse_amount(written->text)) {
      ingredient.amount = *amount;
      const auto mass = mass_of(ingredient, *amount, cups);
      if (mass) {
        ingredient.mass_ug = *mass;
        ingredient.mass_source = source_of(ingredient);
      } else {
        proto::Trouble trouble = mass.error();
        // What is missing is most often which cut of the food it is.
        const auto forms = food == nullptr ? std::vector<std::string>{} : known_forms(*food);
        if (!forms.empty()) trouble.todo += "; the table knows form = " + proto::listed(forms);
        faults.add(written->at, std::move(trouble));
      }
    } else {
      faults.add(written->at, amount.error());
    }
  }
  read_band(fields, ingredient);
  read_solids(fields, ingredient);
  read_nitrite(fields, ingredient);
  return ingredient;
}

}  // namespace maslin::formula
