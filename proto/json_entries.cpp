// Entries to text and back. The order of keys is alphabetical at every level, so the text of an
// entry depends on nothing but its content.
#include <algorithm>
#include <cmath>

#include "proto/json_entry.hpp"

namespace maslin::proto {

MASLIN_FIELDS(Start, batch, formula_text, formula_file, formula_sha256, request, plan, settings,
              facts, devices, engine_revision, build, boot_id, clock_synchronised, offset_ms,
              local_less_ms)
MASLIN_FIELDS(Command, word, text)
MASLIN_FIELDS(DeviceEvent, device, what, why)
MASLIN_FIELDS(Suspend, gap_ms)
MASLIN_FIELDS(ClockStep, step_ms)
MASLIN_FIELDS(Restart, boot_id, gap_ms, same_boot, offset_ms, local_less_ms)
MASLIN_FIELDS(Timer, name)
MASLIN_FIELDS(StoreEvent, failing, why)
MASLIN_FIELDS(Rating, set, heat, pieces, text)
MASLIN_FIELDS(JarWord, what, count, part_filled, jars, where, text, mass_ug)
MASLIN_FIELDS(Amendment, what, of, with, mass_ug, count, figure, text)
MASLIN_FIELDS(Measured, what, with, value, interval, temperature_c, low_buffer, low_shown,
              high_buffer, high_shown, hours, jar, text)
MASLIN_FIELDS(BatchState, state, why)
MASLIN_FIELDS(PhaseBegan, operation, kind, ingredient, text)
MASLIN_FIELDS(Weighing, ingredient, net_ug, standard_uncertainty_ug, expanded_uncertainty_ug, how,
              device, epoch, indications, from_reading, to_reading, corrects, repeatability_ug,
              repeatability_dof, drift_ug, sticking_ug)
MASLIN_FIELDS(Verdict, ingredient, verdict, net_ug, aim_ug, lower_ug, upper_ug, probability_within,
              critical, rule, accepted)
MASLIN_FIELDS(PlanFinal, plan, why)
MASLIN_FIELDS(Cue, id, urgency, text, ingredient, amount_ug, quietly)
MASLIN_FIELDS(Held, reason, what, ends_when, pan, good_for_s)
MASLIN_FIELDS(Released, reason, by)
MASLIN_FIELDS(ZeroEpoch, device, number, why)
MASLIN_FIELDS(Condition, what, evidence, temperature_mk)
MASLIN_FIELDS(Deviation, about, critical, what, done)
MASLIN_FIELDS(Stood, operation, inside_ms, outside_ms, unmeasured_ms, counted_ms, longest_gap_ms,
              coldest_mk, warmest_mk, device, evidence, done)
MASLIN_FIELDS(Noted, text)
MASLIN_FIELDS(Rated, rating, after_ms)
MASLIN_FIELDS(Filled, jars, part_filled, expected, evidence, unit)
MASLIN_FIELDS(JarsAre, jars, where, why, todo, lasting, unit)
MASLIN_FIELDS(Amended, amendment, was, is)
MASLIN_FIELDS(Addition, ingredient, add_ug)
MASLIN_FIELDS(RefusedWay, rung, blocked_by, why)
MASLIN_FIELDS(WayOut, ingredient, rung, net_ug, over_ug, factor, additions, refused)
MASLIN_FIELDS(Finding, what, by, verdict, value, standard_uncertainty, limit, detail, jar)
MASLIN_FIELDS(WeighIn, of, number, net_ug, standard_uncertainty_ug, begin_ug, target_ug, loads,
              device, left_ms, left_from_ms, left_to_ms)
MASLIN_FIELDS(Progress, ingredient, net_ug, at_rest, temperature_mk, verdict)

namespace {

// Reads the alternative whose type name matches; tries them in turn.
template <class Variant, std::size_t I = 0>
Result<Variant> read_alternative(const std::string& type, const nlohmann::json& body) {
  if constexpr (I == std::variant_size_v<Variant>) {
    return trouble("unknown entry type '" + type + "'", "type", "use a newer version of maslin");
  } else {
    using Body = std::variant_alternative_t<I, Variant>;
    if (type_of(Variant(Body{})) == type) {
      auto value = read_value<Body>(body);
      if (!value) return tl::unexpected<Trouble>(value.error());
      return Variant(std::move(*value));
    }
    return read_alternative<Variant, I + 1>(type, body);
  }
}

}  // namespace

namespace {

// Far deeper than any text of ours. The library walks a value recursively when it writes it, and a
// message of a mebibyte has room for more brackets than a stack for calls.
constexpr int deepest = 64;

bool is_too_deep(std::string_view text) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_string) {
      if (c == '\\') ++i;
      if (c == '"') in_string = false;
    } else if (c == '"') {
      in_string = true;
    } else if (c == '[' || c == '{') {
      if (++depth > deepest) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
}

}  // namespace

Result<nlohmann::json> parse(std::string_view text) {
  if (is_too_deep(text)) return trouble("nested too deeply", "", "send valid JSON in UTF-8");
  try {
    return nlohmann::json::parse(text);
  } catch (const nlohmann::json::exception& fault) {
    return trouble(fault.what(), "", "send valid JSON in UTF-8");
  }
}

std::string json_array(const std::vector<std::string>& texts) {
  std::string all = "[";
  for (const auto& text : texts) {
    if (all.size() > 1) all += ',';
    all += text;
  }
  return all + "]";
}

std::string entry_text(const Entry& entry) {
  nlohmann::json j = {{"seq", entry.stamp.sequence},
                      {"at_ms", entry.stamp.at_ms},
                      {"utc_ms", entry.stamp.utc_ms},
                      {"after_reading", entry.stamp.after_reading}};
  std::visit(
      [&](const auto& kind) {
        j["kind"] = entry.is_input() ? "input" : "outcome";
        j["type"] = type_of(kind);
        std::visit([&](const auto& body) { j["body"] = body; }, kind);
      },
      entry.body);
  return dump(j);
}

namespace {

// Numbers that are not whole agree within 1e-9 of their size (or absolutely, below 1), all else
// exactly.
bool agree(const nlohmann::json& a, const nlohmann::json& b) {
  if (a.is_number_float() && b.is_number_float()) {
    const double x = a.get<double>();
    const double y = b.get<double>();
    return std::abs(x - y) <= 1e-9 * std::max({1.0, std::abs(x), std::abs(y)});
  }
  if (a.type() != b.type()) return a == b;
  if (a.is_object()) {
    if (a.size() != b.size()) return false;
    for (auto it = a.begin(); it != a.end(); ++it) {
      const auto other = b.find(it.key());
      if (other == b.end() || !agree(*it, *other)) return false;
    }
    return true;
  }
  if (a.is_array()) return std::equal(a.begin(), a.end(), b.begin(), b.end(), agree);
  return a == b;
}

}  // namespace

bool same_facts(std::string_view a, std::string_view b) {
  if (a == b) return true;
  const auto left = parse(a);
  const auto right = parse(b);
  return left && right && agree(*left, *right);
}

Result<Entry> read_entry(std::string_view text) {
  const auto j = parse(text);
  if (!j) return tl::unexpected<Trouble>(j.error());
  Entry entry;
  try {
    read_field(j->at("seq"), entry.stamp.sequence);
    read_field(j->at("at_ms"), entry.stamp.at_ms);
    read_field(j->at("utc_ms"), entry.stamp.utc_ms);
    read_field(j->at("after_reading"), entry.stamp.after_reading);
    const auto type = j->at("type").get<std::string>();
    if (j->at("kind") == "input") {
      auto input = read_alternative<Input>(type, j->at("body"));
      if (!input) return tl::unexpected<Trouble>(input.error());
      entry.body = std::move(*input);
    } else {
      auto outcome = read_alternative<Outcome>(type, j->at("body"));
      if (!outcome) return tl::unexpected<Trouble>(outcome.error());
      entry.body = std::move(*outcome);
    }
  } catch (const WrongField& wrong) {
    return trouble(wrong.what, "entry", "the record is damaged, or from another program");
  } catch (const nlohmann::json::exception& fault) {
    return trouble(fault.what(), "entry", "the record is damaged, or from another program");
  }
  return entry;
}

MASLIN_JSON(Cue)
MASLIN_JSON(Progress)

}  // namespace maslin::proto
