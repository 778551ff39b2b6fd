// The whole of a formula's text; see the header.
#include "daemon/formula/read.hpp"

#include <cmath>

#include "daemon/formula/document.hpp"
#include "daemon/formula/fields.hpp"
#include "daemon/formula/parts.hpp"
#include "daemon/formula/values.hpp"

namespace maslin::formula {
namespace {

// Beyond these a figure is a slip of the hand: no kitchen cooks it in one batch.
constexpr double kMostMultiple = 20;
constexpr double kMostJars = 1000;
// From whipped cream to syrup boiled to sugar.
constexpr std::int64_t kLightestLitre = 300'000'000;
constexpr double kLeastPh = 2;
constexpr double kMostPh = 7;
constexpr double kShelfPh = 4.6;  // 21 CFR 114.3
constexpr std::int64_t kHeaviestLitre = 1'600'000'000;

// A number from the least to the most that makes sense; `otherwise` where it is missing or wrong.
double number_between(const Fields& fields, std::string_view key, double least, double most,
                      double otherwise, std::string todo) {
  const Node* node = fields.number(key);
  if (node == nullptr) return otherwise;
  if (node->number >= least && node->number <= most) return node->number;
  fields.faults().add(node->at, "\"" + std::string(key) + "\" is out of range", std::move(todo));
  return otherwise;
}

void read_head(const Fields& fields, Formula& formula) {
  Faults& faults = fields.faults();
  // The name heads plan, report and diary, each of which has one line for it.
  if (const Node* name = fields.needed_text("name", "write name = \"...\" in the first line")) {
    formula.name = name->text;
    if (name->text.find_first_of("\n\r\t") != std::string::npos || name->text.size() > 120) {
      faults.add(name->at, "the name is more than one short line", "write at most 120 characters");
    }
  }
  // Status and source only make sense together: what is called tested must say by whom, and a
  // source beside an own formula would lend it a safety that nobody tested.
  if (const Node* source = fields.text("source")) formula.source = source->text;
  const Node* status = fields.needed_text(
      "status", "write status = \"own\", or \"tested\" with the source it cites");
  if (status != nullptr) {
    formula.tested = status->text == "tested";
    if (!formula.tested && status->text != "own") {
      std::string todo;
      const std::string what = no_such_word(status->text, {"own", "tested"}, todo);
      faults.add(status->at, what, todo);
    } else if (formula.tested && formula.source.empty()) {
      faults.add(status->at, "a tested formula without a source",
                 "write source = \"...\", where it was tested, or status = \"own\"");
    } else if (!formula.tested && !formula.source.empty()) {
      faults.add(
          fields.at("source"), "an own formula cites no tested source",
          "say in note what it is after, or write status = \"tested\" if it keeps to the source");
    }
  }
  formula.invented = fields.yes("invented");
  if (const Node* note = fields.text("note")) formula.note = note->text;
  // Keeping is asked for, never assumed: it decides what a cook may do with the jars.
  const Node* keeping = fields.needed_text(
      "keeping", "write keeping = \"refrigerator\", \"freezer\" or, if tested for it, \"shelf\"");
  if (const auto kept =
          word<Keeping>(fields, keeping, keeping_named, {"shelf", "refrigerator", "freezer"})) {
    formula.keeping = *kept;
    if (*kept == Keeping::shelf && status != nullptr && !formula.tested) {
      faults.add(keeping->at, "an own formula is not for the shelf",
                 "write keeping = \"refrigerator\" or \"freezer\"");
    }
  }
  if (const auto cups = word<quantity::Cups>(fields, fields.text("cup"), quantity::cups_named,
                                             {"US customary", "US label", "metric"})) {
    formula.cups = *cups;
  }
  formula.largest_multiple =
      number_between(fields, "largest_multiple", 1, kMostMultiple, 1,
                     "write how many times the amounts as written it may become, from 1 to 20");
  const double jars = number_between(fields, "jars", 0.1, kMostJars, 0,
                                     "write how many jars the amounts as written fill, up to 1000");
  // Half jars happen; thousandths are finer than anyone counts.
  formula.jars.count =
      quantity::reduced(std::llround(jars * 1000.0), 1000).value_or(quantity::Rational{});
  if (const Node* size = fields.text("jar")) {
    formula.jars.size = size->text;
    if (const auto ml = jar_ml(size->text, formula.cups)) {
      formula.jars.ml = *ml;
    } else {
      faults.add(size->at, ml.error());
    }
  }
  if (const Node* litre = fields.text("litre_weighs")) {
    const auto amount = quantity::parse_amount(litre->text);
    const auto mass = amount ? quantity::stated_micrograms(*amount) : std::nullopt;
    if (mass && *mass >= kLightestLitre && *mass <= kHeaviestLitre) {
      formula.jars.litre_ug = *mass;
    } else {
      faults.add(litre->at, "that is not what a litre weighs", "write litre_weighs = \"1.3 kg\"");
    }
  }
  formula.most_ph = number_between(fields, "most_ph", kLeastPh, kMostPh, 0,
                                   "write the highest equilibrium pH, most_ph = 4.2");
  if (formula.keeping == Keeping::shelf && formula.most_ph > kShelfPh) {
    faults.add(fields.at("most_ph"), "acid does not keep that on a shelf",
               "21 CFR 114 allows 4.6 at most");
  }
  if (const Node* longest = fields.text("longest_boil")) {
    if (const auto time = parse_time(longest->text)) {
      formula.longest_boil_ms = *time;
    } else {
      faults.add(longest->at, time.error());
    }
  }
  if (const Node* good = fields.text("good_for")) {
    if (const auto time = parse_keeping_time(good->text)) {
      formula.good_ms = *time;
    } else {
      faults.add(good->at, time.error());
    }
    // The year of a sealed jar is published; no formula makes another one of it.
    if (formula.keeping == Keeping::shelf) {
      faults.add(good->at, "what stands on a shelf has its date from the published guide",
                 "remove good_for; it is for the refrigerator and the freezer");
    }
  }
  if (fields.has("jars") != fields.has("jar")) {
    faults.add(fields.at(fields.has("jar") ? "jar" : "jars"), "jars need both count and size",
               "write jars = 4 and jar = \"250 mL\"");
  }
}

}  // namespace

proto::Results<Formula> read(std::string_view text, std::string_view file) {
  const auto document = parse_document(text, file);
  if (!document) return tl::unexpected(proto::Troubles{document.error()});
  Faults faults(file);
  const Fields fields(*document, "a formula",
                      {"name", "status", "source", "invented", "note", "keeping", "cup", "jars",
                       "jar", "largest_multiple", "longest_boil", "most_ph", "litre_weighs",
                       "good_for", "ingredient", "ratio", "operation"},
                      faults);
  Formula formula;
  read_head(fields, formula);
  // A missing list is no fault of its kind here: check_whole() says what a formula cannot do
  // without.
  Places places;
  if (const Node* list = fields.tables("ingredient")) {
    for (const Node& table : list->children) {
      formula.ingredients.push_back(read_ingredient(table, formula.cups, faults));
      places.ingredients.push_back(table.at);
    }
  }
  if (const Node* list = fields.tables("ratio")) {
    for (const Node& table : list->children) {
      formula.ratios.push_back(read_ratio(table, faults));
      places.ratios.push_back(table.at);
    }
  }
  if (const Node* list = fields.tables("operation")) {
    for (const Node& table : list->children) {
      formula.operations.push_back(read_operation(table, formula.cups, places, faults));
    }
  }
  check_whole(formula, places, faults);
  if (!faults.none()) return tl::unexpected(faults.sorted());
  return formula;
}

}  // namespace maslin::formula
