// Reads one [[operation]] and one [[ratio]]; see parts.hpp.
#include <algorithm>
#include <limits>

#include "daemon/formula/parts.hpp"
#include "daemon/formula/values.hpp"
#include "daemon/quantity/decimal.hpp"
#include "proto/nearest.hpp"

namespace maslin::formula {
namespace {

const std::vector<std::string> kKindWords{"prepare", "weigh",      "heat", "dwell",
                                          "fill",    "water bath", "cool", "seal check",
                                          "dry",     "condition",  "stand"};
const std::vector<std::string> kGroupWords{"acid",  "low-acid food", "sugar", "pectin", "salt",
                                           "water", "curing salt",   "meat",  "other"};

// What each operation is called where the formula gives no line of its own.
std::string_view usual_text(Kind kind) {
  switch (kind) {
    case Kind::prepare:
      return "Prepare what is to be weighed.";
    case Kind::weigh:
      return "Weigh the ingredients.";
    case Kind::heat:
      return "Heat the pan.";
    case Kind::dwell:
      return "Keep it so.";
    case Kind::fill:
      return "Fill the jars.";
    case Kind::water_bath:
      return "Jars into the water bath.";
    case Kind::cool:
      return "Let it cool.";
    case Kind::seal_check:
      return "Test every seal with a finger.";
    case Kind::dry:
      return "Spread it on the trays and dry it.";
    case Kind::condition:
      return "Loosely into a closed jar, and shake it every day.";
    case Kind::stand:
      return "Let it stand.";
  }
  return "";
}

// Reads a text with one of the parsers of values.hpp; a fault is reported where the text stands.
template <class Parse>
std::int64_t parsed(const Fields& fields, const Node* node, Parse parse) {
  if (node == nullptr) return 0;
  const auto value = parse(node->text);
  if (value) return *value;
  fields.faults().add(node->at, value.error());
  return 0;
}

// A key that says nothing for this kind of operation is a misunderstanding, not a detail.
void only_for(const Fields& fields, std::string_view key, bool fits, std::string_view kinds) {
  if (fits || !fields.has(key)) return;
  fields.faults().add(fields.at(key),
                      "\"" + std::string(key) + "\" means nothing in this operation",
                      "remove it; it belongs to " + std::string(kinds));
}

// Heat and drying have ends of their own.
bool ends_drying(Until until) { return until == Until::loss || until == Until::water; }
std::optional<Until> heat_until_named(std::string_view text) {
  const auto until = until_named(text);
  return until && !ends_drying(*until) ? until : std::nullopt;
}
std::optional<Until> dry_until_named(std::string_view text) {
  const auto until = until_named(text);
  return until && ends_drying(*until) ? until : std::nullopt;
}

void read_heat(const Fields& fields, Operation& operation) {
  const auto until = word<Until>(
      fields,
      fields.needed_text("until",
                         "write until = \"boil\", \"temperature\", \"above boil\", \"weight\" or "
                         "\"eye\""),
      heat_until_named, {"boil", "temperature", "above boil", "weight", "eye"});
  if (!until) return;
  operation.until = *until;
  if (*until == Until::temperature) {
    operation.temperature_mk =
        parsed(fields, fields.needed_text("temperature", "write temperature = \"85 °C\""),
               parse_temperature);
  } else if (*until == Until::above_boil) {
    operation.above_boil_mk =
        parsed(fields, fields.needed_text("above_boil", "write above_boil = \"4.5 °C\""),
               parse_difference);
  } else if (*until == Until::weight) {
    operation.target_ug =
        parsed(fields, fields.needed_text("weight", "write weight = \"900 g\""), parse_mass);
  }
  // A target beside another end point would be read by people and ignored by the engine.
  only_for(fields, "temperature", *until == Until::temperature, "heat until \"temperature\"");
  only_for(fields, "above_boil", *until == Until::above_boil, "heat until \"above boil\"");
  only_for(fields, "weight", *until == Until::weight, "heat until \"weight\"");
}

void read_dwell(const Fields& fields, Operation& operation) {
  operation.duration_ms =
      parsed(fields, fields.needed_text("time", "write time = \"10 min\""), parse_time);
  if (const Node* lost = fields.text("when_lost")) {
    operation.begins_again = lost->text == "begin again";
    if (!operation.begins_again && lost->text != "go on") {
      std::string todo;
      const std::string what = no_such_word(lost->text, {"begin again", "go on"}, todo);
      fields.faults().add(lost->at, what, todo);
    }
  }
  const Node* meanwhile = fields.text("while");
  if (meanwhile == nullptr) return;
  if (meanwhile->text == "boiling") {
    operation.until = Until::boil;
  } else if (meanwhile->text == "at temperature") {
    operation.until = Until::temperature;
  } else {
    std::string todo;
    const std::string what = no_such_word(meanwhile->text, {"boiling", "at temperature"}, todo);
    fields.faults().add(meanwhile->at, what, todo);
  }
}

// How long what stands or dries may be outside of its bounds, and how long nobody need look, where
// the formula does not say: two hours as for any perishable food (USDA Food Safety and Inspection
// Service, from memory), and a night (common practice, no source).
constexpr std::int64_t usual_outside_ms = 2 * 3'600'000;
constexpr std::int64_t usual_unmeasured_ms = 12 * 3'600'000;

// Over 4.6 nothing counts as acid: 21 CFR 114.3. No ferment goes below three (common practice, no
// source).
constexpr double least_end_ph = 3;
constexpr double most_end_ph = 4.6;
// A ferment that is not sour by half as long again as it should take does not become it safely
// (common practice, no source).
constexpr std::int64_t longest_of_time_pct = 150;

// What the place may have.
void read_place(const Fields& fields, Operation& operation) {
  operation.least_mk = parsed(fields, fields.text("least"), parse_temperature);
  operation.most_mk = parsed(fields, fields.text("most"), parse_temperature);
  const bool bounded = fields.has("least") || fields.has("most");
  if (operation.least_mk > 0 && operation.most_mk > 0 && operation.least_mk >= operation.most_mk) {
    fields.faults().add(fields.at("most"), "the place has no temperature that is allowed",
                        "write a least that is below the most");
  }
  operation.outside_ms = bounded ? usual_outside_ms : 0;
  operation.unmeasured_ms = bounded ? usual_unmeasured_ms : 0;
  if (fields.has("outside")) {
    operation.outside_ms = parsed(fields, fields.text("outside"), parse_time);
  }
  if (fields.has("unmeasured")) {
    operation.unmeasured_ms = parsed(fields, fields.text("unmeasured"), parse_time);
  }
  operation.cold_chain = fields.yes("cold_chain");
  if (operation.cold_chain && operation.most_mk == 0) {
    fields.faults().add(fields.at("cold_chain"), "a cold chain that does not say how cold",
                        "write most = \"4 °C\"");
  }
  for (const std::string_view key : {"outside", "unmeasured"}) {
    if (bounded || !fields.has(key)) continue;
    fields.faults().add(fields.at(key), "there are no bounds of the temperature to be outside of",
                        "write least, most or both, or remove it");
  }
}

void read_dry(const Fields& fields, Operation& operation) {
  read_place(fields, operation);
  operation.hung = fields.yes("hung");
  const auto until =
      word<Until>(fields, fields.needed_text("until", "write until = \"loss\" or \"water\""),
                  dry_until_named, {"loss", "water"});
  operation.longest_ms =
      parsed(fields, fields.needed_text("longest", "write longest = \"36 h\""), parse_time);
  operation.every_ms = parsed(fields, fields.text("weigh_after"), parse_time);
  if (!until) return;
  operation.until = *until;
  constexpr std::int64_t million = 1'000'000;
  if (*until == Until::loss) {
    const auto loss =
        parsed(fields, fields.needed_text("loss", "write loss = \"70 %\""), parse_percent);
    operation.left_ppm = million - loss;
    // What water it has makes the forecast surer: no more than that can go.
    operation.water_ppm = parsed(fields, fields.text("water"), parse_percent);
    if (operation.water_ppm > 0 && loss >= operation.water_ppm) {
      fields.faults().add(fields.at("loss"), "more is to go than the water that is in it",
                          "write a loss below the water, or remove the water");
    }
  } else {
    operation.water_ppm = parsed(
        fields,
        fields.needed_text("water", "write water = \"85.6 %\", what it has at the beginning"),
        parse_percent);
    const auto to = parsed(
        fields, fields.needed_text("to", "write to = \"20 %\", what it is to have"), parse_percent);
    if (operation.water_ppm > 0 && to >= operation.water_ppm) {
      fields.faults().add(fields.at("to"), "drying leads to less water, not to more",
                          "write less than the water that it begins with");
    } else if (to > 0) {
      // Mass balance, wet basis: nothing but water leaves.
      operation.left_ppm = *quantity::rounded(
          quantity::Wide{million} * (million - operation.water_ppm), million - to);
    }
  }
  only_for(fields, "loss", *until == Until::loss, "dry until \"loss\"");
  only_for(fields, "to", *until == Until::water, "dry until \"water\"");
}

void read_stand(const Fields& fields, Operation& operation) {
  operation.duration_ms =
      parsed(fields, fields.needed_text("time", "write time = \"14 days\""), parse_time);
  read_place(fields, operation);
  operation.longest_ms = parsed(fields, fields.text("longest"), parse_time);
  const Node* ph = fields.number("end_ph");
  if (ph == nullptr) {
    only_for(fields, "longest", false, "a stand that ends by its end_ph");
    return;
  }
  if (operation.longest_ms == 0) {
    operation.longest_ms = operation.duration_ms * longest_of_time_pct / 100;
  }
  operation.end_ph = ph->number;
  if (operation.end_ph >= least_end_ph && operation.end_ph <= most_end_ph) return;
  fields.faults().add(ph->at, "no ferment ends at this pH", "write end_ph = 4.2, from 3 to 4.6");
}

void read_bath(const Fields& fields, Operation& operation, quantity::Cups cups) {
  if (const Node* jar = fields.text("jar")) {
    if (const auto ml = jar_ml(jar->text, cups)) {
      operation.jar_ml = *ml;
    } else {
      fields.faults().add(jar->at, ml.error());
    }
  }
  // The first row that reaches the altitude counts, so they must rise; the last may be open
  // above.
  std::int64_t below = -1;
  const std::size_t before = operation.bath.size();
  for (const Node* node : fields.texts("rows")) {
    const auto row = parse_bath_row(node->text);
    if (!row) {
      fields.faults().add(node->at, row.error());
      continue;
    }
    const std::int64_t to = row->to_ft.value_or(std::numeric_limits<std::int64_t>::max());
    if (to <= below) {
      fields.faults().add(node->at, "the rows are not in order",
                          "list them from the lowest altitude up");
    }
    below = to;
    operation.bath.push_back(*row);
  }
  if (!fields.has("rows") || operation.bath.size() == before) {
    fields.faults().add(
        fields.at("rows"), "the water bath has no times",
        "write rows = [\"5 min to 1000 ft\", ...] as the tested source prints them");
  }
}

}  // namespace

Operation read_operation(const Node& table, quantity::Cups cups, Places& places, Faults& faults) {
  const Fields fields(table, "an operation",
                      {"kind", "text",    "ingredients", "until",      "temperature", "above_boil",
                       "time", "longest", "while",       "rows",       "weight",      "when_lost",
                       "jar",  "loss",    "water",       "to",         "weigh_after", "least",
                       "most", "outside", "unmeasured",  "cold_chain", "hung",        "end_ph"},
                      faults);
  Operation operation;
  if (const Node* text = fields.text("text")) operation.text = text->text;
  places.operations.push_back(table.at);
  std::vector<Position>& mentioned = places.mentioned.emplace_back();
  for (const Node* name : fields.texts("ingredients")) {
    operation.ingredients.push_back(name->text);
    mentioned.push_back(name->at);
  }
  const auto kind = word<Kind>(
      fields, fields.needed_text("kind", "write kind = one of " + proto::listed(kKindWords)),
      kind_named, kKindWords);
  places.kinds_known = places.kinds_known && kind;
  if (!kind) return operation;
  operation.kind = *kind;
  if (operation.text.empty()) operation.text = usual_text(*kind);

  // Only now: which keys make sense depends on the kind.
  const bool heat = *kind == Kind::heat;
  const bool dwell = *kind == Kind::dwell;
  if (heat) read_heat(fields, operation);
  if (dwell) read_dwell(fields, operation);
  if (*kind == Kind::water_bath) read_bath(fields, operation, cups);
  const bool dry = *kind == Kind::dry;
  const bool condition = *kind == Kind::condition;
  if (dry) read_dry(fields, operation);
  if (condition) {
    operation.duration_ms =
        parsed(fields, fields.needed_text("time", "write time = \"7 days\""), parse_time);
  }
  const bool stand = *kind == Kind::stand;
  if (stand) read_stand(fields, operation);
  if (*kind == Kind::cool) operation.duration_ms = parsed(fields, fields.text("time"), parse_time);
  if (!dry && !stand) operation.longest_ms = parsed(fields, fields.text("longest"), parse_time);
  if ((dwell || stand) && operation.longest_ms > 0 &&
      operation.longest_ms < operation.duration_ms) {
    faults.add(fields.at("longest"), "the longest time is shorter than the time itself",
               "write a longest time of at least the time");
  }
  only_for(fields, "until", heat || dry, "heat and dry");
  if (!heat) {
    only_for(fields, "temperature", false, "heat until \"temperature\"");
    only_for(fields, "above_boil", false, "heat until \"above boil\"");
    only_for(fields, "weight", false, "heat until \"weight\"");
  }
  only_for(fields, "time", dwell || condition || stand || *kind == Kind::cool,
           "dwell, cool, condition and stand");
  only_for(fields, "longest", heat || dwell || dry || stand, "heat, dwell, dry and stand");
  for (const std::string_view key : {"loss", "water", "to", "weigh_after"}) {
    if (!dry) only_for(fields, key, false, "dry");
  }
  for (const std::string_view key : {"least", "most", "outside", "unmeasured", "cold_chain"}) {
    only_for(fields, key, stand || dry, "stand and dry");
  }
  only_for(fields, "hung", dry, "dry");
  only_for(fields, "end_ph", stand, "stand");
  only_for(fields, "while", dwell, "dwell");
  only_for(fields, "when_lost", dwell, "dwell");
  only_for(fields, "jar", *kind == Kind::water_bath, "water bath");
  only_for(fields, "rows", *kind == Kind::water_bath, "water bath");
  only_for(fields, "ingredients", *kind == Kind::prepare || *kind == Kind::weigh || heat || dry,
           "prepare, weigh, heat and dry");
  return operation;
}

namespace {

// "meat and water"
Groups read_groups(const Fields& fields, const char* key) {
  Groups groups;
  const Node* node = fields.needed_text(key, "write " + std::string(key) + " = one of " +
                                                 proto::listed(kGroupWords) +
                                                 ", or several with \"and\" between them");
  if (node == nullptr) return groups;
  constexpr std::string_view kAnd = " and ";
  std::string_view rest = node->text;
  while (!rest.empty()) {
    const auto end = std::min(rest.find(kAnd), rest.size());
    const std::string one(rest.substr(0, end));
    rest.remove_prefix(std::min(end + kAnd.size(), rest.size()));
    const auto counts = counts_named(one);
    if (!counts || has(groups, *counts)) {
      std::string todo;
      const std::string what =
          counts ? "\"" + one + "\" is named twice" : no_such_word(one, kGroupWords, todo);
      fields.faults().add(node->at, what, counts ? "name it once" : todo);
      continue;
    }
    groups.push_back(*counts);
  }
  return groups;
}

// Part of so much of a whole is so much beside the rest: s of all is s / (1 - s) of what is left.
// Rounded to the safe side.
void take_share(Ratio& ratio, const Position& at, Faults& faults) {
  constexpr std::int64_t kMillion = 1'000'000;
  for (const Counts one : ratio.of) std::erase(ratio.per, one);
  if (ratio.per.empty()) {
    faults.add(at, "a ratio of \"" + text(ratio.of) + "\" to itself",
               "name two groups that differ");
    return;
  }
  if (ratio.limit_ppm <= 0) return;  // reported already
  if (ratio.limit_ppm >= kMillion) {
    faults.add(at, "a part of a whole cannot be all of it or more",
               "write a share below 1, such as \"0.05\" or \"5 %\"");
    return;
  }
  ratio.share_ppm = ratio.limit_ppm;
  const quantity::Wide beside = quantity::Wide{ratio.share_ppm} * kMillion;
  const std::int64_t rest = kMillion - ratio.share_ppm;
  ratio.limit_ppm = static_cast<std::int64_t>((beside + (ratio.least ? rest - 1 : 0)) / rest);
}

}  // namespace

Ratio read_ratio(const Node& table, Faults& faults) {
  const Fields fields(table, "a ratio", {"of", "per", "least", "most", "keeping"}, faults);
  Ratio ratio;
  ratio.of = read_groups(fields, "of");
  ratio.per = read_groups(fields, "per");
  ratio.only_for = word<Keeping>(fields, fields.text("keeping"), keeping_named,
                                 {"shelf", "refrigerator", "freezer"});
  if (fields.has("least") == fields.has("most")) {
    faults.add(table.at, "a ratio has one limit", "write either least = \"1.2\" or most = \"0.5\"");
    return ratio;
  }
  ratio.least = fields.has("least");
  const Node* limit = fields.text_or_number(ratio.least ? "least" : "most");
  if (limit == nullptr) return ratio;
  // A number without quotes went through binary; nine digits bring back the decimal that was
  // written.
  const std::string text =
      limit->kind == NodeKind::string ? limit->text : quantity::plain(limit->number, 9);
  const auto ppm = parse_limit(text, ratio.least);
  if (ppm) {
    ratio.limit_ppm = *ppm;
  } else {
    faults.add(limit->at, ppm.error());
  }
  if (std::any_of(ratio.of.begin(), ratio.of.end(),
                  [&](Counts one) { return has(ratio.per, one); })) {
    take_share(ratio, table.at, faults);
  }
  return ratio;
}

}  // namespace maslin::formula
