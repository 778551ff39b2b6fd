// Reading what is typed of facts; see the header.
#include "client/facts.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "client/show.hpp"
#include "client/text.hpp"
#include "proto/jar_names.hpp"
#include "proto/json.hpp"

namespace maslin::client {
namespace {

constexpr std::array options = {
    FactOption{"--vinegar", "vinegar_pct", "% grain",
               "acid in the vinegar, by the label of this bottle"},
    FactOption{"--nitrite", "nitrite_pct", "%",
               "sodium nitrite in the curing salt, by its label: \"6.25 %\""},
    FactOption{"--pectin", "pectin", "", "powdered or liquid"},
    FactOption{"--package", "pectin_package_g", "g oz", "net weight of this package of pectin"},
    FactOption{"--package-date", "pectin_date", "", "its best before date, 2027-03-31"},
    FactOption{"--jar", "jar_ml", "mL L pint cup cups",
               "what one jar holds: \"250 mL\", half-pint"},
    FactOption{"--jar-high", "jar_cm", "cm in", "height of one jar with its lid on"},
    FactOption{"--jar-kind", "jar_kind", "", "\"two-piece lid\", \"screw lid\" or clip"},
    FactOption{"--jars", "jars", "#", "how many jars there are"},
    FactOption{"--lids", "lids", "#", "how many new lids there are"},
    FactOption{"--vessel", "vessel_g", "g kg oz",
               "an empty vessel that is known: it checks the scale"},
    FactOption{"--pan", "pan_cm", "cm in", "inner diameter of the pan"},
    FactOption{"--pan-holds", "pan_l", "L quart", "what the pan holds up to its brim"},
    FactOption{"--pan-metal", "pan_metal", "",
               "\"stainless steel\", enamel, aluminium, copper, brass or iron"},
    FactOption{"--canner", "canner_l", "L quart", "water in the canner"},
    FactOption{"--canner-wide", "canner_cm", "cm in", "inner diameter of the canner"},
    FactOption{"--canner-high", "canner_high_cm", "cm in", "its height inside, from the rack"},
    FactOption{"--canner-jars", "canner_jars", "#", "jars that fit into the canner at once"},
    FactOption{"--canner-takes", "canner_min", "min", "from cold to the boil, the last time"},
    FactOption{"--canner-power", "canner_kw", "kW", "of the burner under the canner"},
    FactOption{"--cook", "cook", "",
               "who works: the stop is learned by cook, the record names them"}};

// How much of the member's own unit one of these is. Exact by definition: avoirdupois ounce 28.349
// 523 125 g, inch 2.54 cm, US liquid pint 473.176 473 mL, US quart 0.946 352 946 L; US cup 236.588
// 236 5 mL; ten grain of vinegar are one percent of acid.
constexpr std::array<std::pair<std::string_view, double>, 10> other_units = {
    {{"mg", 0.001},
     {"kg", 1000},
     {"oz", 28.349523125},
     {"lb", 453.59237},
     {"in", 2.54},
     {"pint", 473.176473},
     {"quart", 0.946352946},
     {"grain", 0.1},
     {"cup", 236.5882365},
     {"cups", 236.5882365}}};

std::string quoted(std::string_view text) { return proto::json_string(text); }

std::string member(const char* name, double value) {
  std::array<char, 64> digits{};
  const auto [end, fault] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return quoted(name) + ":" + std::string(digits.data(), end);
}

bool has_unit(std::string_view units, std::string_view unit) {
  while (!units.empty()) {
    const auto space = units.find(' ');
    if (units.substr(0, space) == unit) return true;
    if (space == std::string_view::npos) break;
    units.remove_prefix(space + 1);
  }
  return false;
}

// Lengths and volumes come in two units in kitchens, and a number alone is taken for the wrong one;
// a mass alone is grams everywhere, and vinegar has percent by its size.
bool two_usual(std::string_view units) {
  const std::string_view own = units.substr(0, units.find(' '));
  return own == "mL" || own == "L" || own == "cm";
}

double in_own_unit(double value, std::string_view unit) {
  if (unit == "L") return value * 1000;  // only of a jar, whose own unit is the millilitre
  for (const auto& [name, is] : other_units) {
    if (name == unit) return value * is;
  }
  return value;
}

std::string shown(const std::optional<double>& value, const char* unit) {
  return value ? number(*value, 2) + (*unit != '\0' ? " " + std::string(unit) : "") : "";
}
std::string shown(const std::optional<std::int64_t>& value, const char*) {
  return value ? std::to_string(*value) : "";
}
std::string shown(const std::string& value, const char*) { return value; }

}  // namespace

std::span<const FactOption> fact_options() { return options; }

tl::expected<double, std::string> typed_quantity(const std::string& text, std::string_view units) {
  double value = 0;
  const char* const last = text.data() + text.size();
  auto [end, fault] = std::from_chars(text.data(), last, value);
  if (fault == std::errc() && end != last && *end == '/') {  // "1/2 pint"
    double parts = 0;
    const auto below = std::from_chars(end + 1, last, parts);
    fault = parts > 0 ? below.ec : std::errc::invalid_argument;
    end = below.ptr;
    value /= parts;
  }
  std::string_view unit(end, static_cast<std::size_t>(last - end));
  unit.remove_prefix(std::min(unit.find_first_not_of(' '), unit.size()));
  if (fault != std::errc() || !std::isfinite(value) || (!unit.empty() && !has_unit(units, unit))) {
    return tl::unexpected<std::string>("write a number with one of: " + std::string(units));
  }
  if (unit.empty() && two_usual(units)) {
    return tl::unexpected<std::string>("write its unit too, one of: " + std::string(units));
  }
  const bool own = unit.empty() || units.substr(0, units.find(' ')) == unit;
  return own ? value : in_own_unit(value, unit);
}

tl::expected<std::string, std::string> fact_member(const FactOption& option,
                                                   const std::string& text) {
  const std::string_view units = option.units;
  if (units.empty()) return quoted(option.member) + ":" + quoted(text);
  const bool jar = std::string_view(option.member) == "jar_ml";
  const std::string_view named = jar ? proto::named_jar(text) : std::string_view();
  const auto value =
      typed_quantity(named.empty() ? text : std::string(named), units == "#" ? "" : units);
  if (units == "#" && (!value || *value < 0 || *value > 1e6 || *value != std::floor(*value))) {
    return tl::unexpected<std::string>("write a whole number");
  }
  if (!value) return tl::unexpected<std::string>(value.error());
  return member(option.member, *value);
}

tl::expected<std::string, std::string> lot_element(const std::string& text) {
  const auto equals = text.find('=');
  if (equals == std::string::npos || equals == 0) {
    return tl::unexpected<std::string>("write \"cider vinegar=L1234\"");
  }
  return "{\"of\":" + quoted(text.substr(0, equals)) +
         ",\"lot\":" + quoted(text.substr(equals + 1)) + "}";
}

tl::expected<std::string, std::string> forgotten(const std::string& option) {
  if (option == "lots" || option == "learned") return quoted(option) + ":null";
  for (const auto& one : options) {
    const std::string_view name = one.option;
    if (option != name && option != name.substr(2)) continue;
    return quoted(one.member) + ":" + (*one.units == '\0' ? "\"\"" : "null");
  }
  return tl::unexpected<std::string>(
      "write the name of a fact, such as vinegar, or lots, or learned");
}

std::string show(const proto::Facts& facts) {
  Table table({"fact", "told", "what it is"});
  const auto row = [&](const auto& value, const char* member, const char* unit) {
    for (const auto& one : options) {
      if (std::string_view(one.member) != member) continue;
      const std::string text = shown(value, unit);
      table.row({std::string(one.option + 2), text.empty() ? "-" : text, one.what});
    }
  };
  row(facts.vinegar_pct, "vinegar_pct", "%");
  row(facts.nitrite_pct, "nitrite_pct", "%");
  row(facts.pectin, "pectin", "");
  row(facts.pectin_package_g, "pectin_package_g", "g");
  row(facts.pectin_date, "pectin_date", "");
  row(facts.jar_ml, "jar_ml", "mL");
  row(facts.jar_cm, "jar_cm", "cm");
  row(facts.jar_kind, "jar_kind", "");
  row(facts.jars, "jars", "");
  row(facts.lids, "lids", "");
  row(facts.vessel_g, "vessel_g", "g");
  row(facts.pan_cm, "pan_cm", "cm");
  row(facts.pan_l, "pan_l", "L");
  row(facts.pan_metal, "pan_metal", "");
  row(facts.canner_l, "canner_l", "L");
  row(facts.canner_cm, "canner_cm", "cm");
  row(facts.canner_high_cm, "canner_high_cm", "cm");
  row(facts.canner_jars, "canner_jars", "");
  row(facts.canner_min, "canner_min", "min");
  row(facts.canner_kw, "canner_kw", "kW");
  row(facts.cook, "cook", "");
  for (const auto& lot : facts.lots) table.row({"lot", lot.lot, "of " + lot.of});
  for (const auto& one : facts.learned) {
    const std::string value = one.value_ug > 0
                                  ? grams(static_cast<double>(one.value_ug) / 1e6)
                                  : number(static_cast<double>(one.value_ms) / 1000, 2) + " s";
    std::string of = one.of.empty() ? "learned from all pours" : "of " + one.of;
    if (!one.by.empty()) of += ", by " + one.by;
    if (one.vessel_ug > 0) {
      of += ", into the vessel of " + grams(static_cast<double>(one.vessel_ug) / 1e6);
    }
    table.row({one.what, value, of});
  }
  return Page()
      .line("Kept between batches until they change: a new bottle, a new package, other jars.")
      .gap()
      .raw(table.text())
      .text();
}

}  // namespace maslin::client
