// The walk over the entries that speak of jars.
#include "daemon/review/ledger.hpp"

#include <algorithm>
#include <array>

#include "daemon/review/jars.hpp"
#include "daemon/review/record.hpp"

namespace maslin::review {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t day_ms = 24 * hour_ms;
// USDA Complete Guide to Home Canning, guide 1: best quality within a year.
constexpr std::int64_t shelf_ms = 365 * day_ms;
// The same: a jar that did not seal is reprocessed, frozen or refrigerated within 24 hours.
constexpr std::int64_t unsealed_ms = 24 * hour_ms;
// The same says "within days" of such a jar in the refrigerator; that seven are meant is common
// practice, no source.
constexpr std::int64_t days_ms = 7 * day_ms;
// An open jar of something sour or sweet in the refrigerator; common practice, no source.
constexpr std::int64_t open_ms = 28 * day_ms;
// Quality in the freezer; common practice, no source.
constexpr std::int64_t frozen_ms = 365 * day_ms;

// Cured meat that is cooked before it is eaten: USDA Food Safety and Inspection Service, cold
// storage chart (from memory); the shorter end of what it says.
constexpr std::int64_t cured_ms = 5 * day_ms;
constexpr std::int64_t frozen_meat_ms = 90 * day_ms;
constexpr const char* cold_storage = "USDA cold storage chart, cured meat (from memory)";
// Dried food in a tight container in the cold; common practice, no source.
constexpr std::int64_t dried_ms = 180 * day_ms;

constexpr double acid_ph = 4.6;

constexpr std::int64_t most_jars = 2000;  // of one batch, amended ones too

constexpr const char* no_source = "common practice, no source";
constexpr const char* guide = "USDA Complete Guide to Home Canning";

// Acid or much sugar slow down what spoils an open jar.
bool sour_or_sweet(const proto::Plan& plan) {
  double all = 0;
  double sugar = 0;
  for (const auto& ingredient : plan.ingredients) {
    if (ingredient.counts_as == "acid") return true;
    const auto mass = static_cast<double>(ingredient.nominal_ug);
    all += mass;
    if (ingredient.counts_as == "sugar") sugar += mass;
  }
  return sugar > 0 && sugar >= 0.4 * all;  // common practice, no source
}

class Walk {
 public:
  explicit Walk(std::span<const proto::Entry> entries) {
    ledger_.start = start_of(entries);
    if (ledger_.start) {
      ledger_.plan = ledger_.start->plan;
      ledger_.lots = ledger_.start->facts.lots;
    }
    for (const auto& entry : entries) {
      now_ms_ = entry.stamp.utc_ms;
      std::visit(
          [this](const auto& side) {
            std::visit([this](const auto& body) { this->take(body); }, side);
          },
          entry.body);
    }
  }
  Ledger result() { return std::move(ledger_); }

 private:
  template <class T>
  void take(const T&) {}

  void take(const proto::PlanFinal& final) { ledger_.plan = final.plan; }
  void take(const proto::BatchState& state) {
    ledger_.state = state.state;
    if (state.state == "complete") ledger_.complete_utc_ms = now_ms_;
  }
  void take(const proto::PhaseBegan& phase) {
    if (phase.kind == "cool" && !ledger_.jars.empty()) ledger_.cooling_utc_ms = now_ms_;
  }
  void take(const proto::Condition& condition) {
    dried_ = dried_ || condition.what == "dry";
    if (condition.what == "dry" || condition.what == "stand done") ready_utc_ms_ = now_ms_;
  }
  void take(const proto::Finding& finding) {
    if (finding.what != "equilibrium pH") return;
    const bool ferment = std::any_of(ledger_.plan.operations.begin(), ledger_.plan.operations.end(),
                                     [](const auto& one) { return one.end_ph > 0; });
    sour_ = sour_ || finding.verdict == "within";
    // A ferment that is not even acid (over 4.6: 21 CFR 114.3) is good for no time.
    if (!ferment || finding.verdict != "over" || finding.value <= acid_ph) return;
    spoil();
  }
  // What stood too warm is good for no time, wherever the cook puts it afterwards.
  void take(const proto::Deviation& deviation) {
    if (deviation.about == "cold chain" && place_was_left(deviation)) spoil();
  }
  void spoil() {
    spoilt_ = true;
    for (auto& jar : ledger_.jars) jar.good = {};
  }
  void take(const proto::Rated& rated) { ledger_.rated_after_ms.push_back(rated.after_ms); }
  void take(const proto::Filled& filled) {
    // An amended count changes nothing here: the places of the jars come with it.
    if (!ledger_.jars.empty()) return;
    ledger_.filled_utc_ms = now_ms_;
    ledger_.unit = filled.unit;
    known_up_to(filled.jars + filled.part_filled);
    if (filled.part_filled > 0 && !ledger_.jars.empty()) ledger_.jars.back().part_filled = true;
  }
  void known_up_to(std::int64_t jars) {
    while (static_cast<std::int64_t>(ledger_.jars.size()) < std::min(jars, most_jars)) {
      JarNow jar;
      jar.number = static_cast<std::int64_t>(ledger_.jars.size()) + 1;
      enter(jar, ledger_.unit == "jar" ? "cooling" : "in the making", false);
      ledger_.jars.push_back(std::move(jar));
    }
  }
  // The outcome of the same step tells which jars; the name stands in the cook's word alone.
  void take(const proto::JarWord& word) { whom_ = word.text; }
  void take(const proto::Amended& amended) {
    const auto& amendment = amended.amendment;
    // The lot that was told first may be the right one after all: a recall asks for both.
    if (amendment.what == "lot") ledger_.lots.push_back({amendment.of, amendment.with});
  }
  void take(const proto::JarsAre& jars) {
    for (const auto number : jars.jars) {
      known_up_to(number);
      if (number < 1 || static_cast<std::size_t>(number) > ledger_.jars.size()) continue;
      JarNow& jar = ledger_.jars[static_cast<std::size_t>(number - 1)];
      if (jar.where != jars.where) {
        enter(jar, jars.where, jars.lasting);
        jar.whom = jars.where == "given" ? whom_ : "";
        jar.why = jars.why;
      }
      if (jars.lasting && !jar.lasting) bar(jar);
      jar.todo = jars.todo;
      jar.lasting = jars.lasting;
    }
  }

  // What is told of it from here on is not to be outlasted by the date that it had.
  void bar(JarNow& jar) const {
    jar.barred_utc_ms = now_ms_;
    if (jar.where == "opened" || jar.where == "refrigerator" || jar.where == "cooling") {
      const std::int64_t until = now_ms_ + (ledger_.unit == "piece" ? cured_ms : days_ms);
      const bool sooner = jar.good.means == "use by" && *jar.good.until_utc_ms < until;
      if (!sooner) jar.good = {until, "use by", no_source};
    }
  }

  // `barred`: it is outside its formula, and what the formula says of its keeping is worth nothing.
  void enter(JarNow& jar, const std::string& where, bool barred) {
    jar.good = good_in(jar, where, barred);
    jar.where = where;
    jar.since_utc_ms = now_ms_;
  }

  // `jar` as it stood until now. To open a jar or to carry it about never makes it good for longer.
  Good good_in(const JarNow& jar, const std::string& where, bool barred) const {
    const auto& plan = ledger_.plan;
    const bool for_shelf = plan.keeping == "shelf";
    const bool keeps = sour_or_sweet(plan);
    const bool meat = ledger_.unit == "piece";
    if (spoilt_) return {};
    // What has no jars was ready when its time was over, however late the cook puts it away.
    const bool late = ledger_.unit != "jar" && where == plan.keeping && ready_utc_ms_ > 0;
    const std::int64_t from_ms = late ? ready_utc_ms_ : now_ms_;
    const auto within = [&](std::int64_t ms, std::string basis) -> Good {
      std::int64_t until = from_ms + ms;
      if (jar.good.means == "use by") until = std::min(until, *jar.good.until_utc_ms);
      return {until, "use by", std::move(basis)};
    };
    if (where == "shelf") {
      return {ledger_.filled_utc_ms + shelf_ms, "best before", std::string(guide) + ": a year"};
    }
    if (where == "not sealed") {
      return {ledger_.filled_utc_ms + unsealed_ms, "decide by", std::string(guide) + ": 24 hours"};
    }
    // A formula without a tested source may say that what nothing sour or sweet keeps is good for a
    // shorter time, never for a longer one.
    const bool freely = plan.status == "tested" || (!meat && (keeps || sour_));
    const auto by_formula = [&](std::int64_t table_ms) -> std::optional<Good> {
      if (plan.good_ms == 0 || barred || where != plan.keeping) return std::nullopt;
      if (!freely && plan.good_ms > table_ms) return std::nullopt;
      return within(plan.good_ms, "as the formula says");
    };
    const auto as_made = [&]() -> Good {
      const bool dry = dried_ && !barred && !meat;
      const std::int64_t ms = meat               ? cured_ms
                              : dry              ? dried_ms
                              : keeps && !barred ? open_ms
                                                 : days_ms;
      if (auto good = by_formula(ms)) return *good;
      if (dry) return {from_ms + ms, "best before", no_source};
      return within(ms, meat ? std::string(cold_storage) + ": 5 to 7 days" : no_source);
    };
    if (where == "freezer") {
      const std::int64_t ms = meat ? frozen_meat_ms : frozen_ms;
      if (auto good = by_formula(ms)) return *good;
      return {now_ms_ + ms, "best before",
              meat ? std::string(cold_storage) + ": 3 to 4 months" : no_source};
    }
    if (where == "opened") {
      if (meat || dried_) return within(days_ms, no_source);
      return within(keeps && !barred ? open_ms : days_ms, no_source);
    }
    if (where == "given" || (where == "refrigerator" && jar.where == "shelf")) return jar.good;
    // What was made for the refrigerator stands there, or waits for its place, from the first hour;
    // what has to stand first is not finished, and is dated where it goes into the cold.
    const bool stands = std::any_of(plan.operations.begin(), plan.operations.end(),
                                    [](const auto& one) { return one.kind == "stand"; });
    const bool waits = where == "cooling" && !for_shelf && !stands;
    if (where != "refrigerator" && !waits) return {};
    if (for_shelf) return within(days_ms, std::string(guide) + ": days; that many by " + no_source);
    return as_made();
  }

  Ledger ledger_;
  std::int64_t now_ms_ = 0;
  std::string whom_;
  std::int64_t ready_utc_ms_ = 0;  // what stood or dried; 0: not yet
  bool dried_ = false;             // to its target, by the scale or the cook
  bool sour_ = false;              // by a pH that was measured
  bool spoilt_ = false;            // a ferment that is not sour, or a cold chain that broke
};

}  // namespace

bool tells_of_jars(std::string_view entry_type) {
  static constexpr std::array<std::string_view, 12> types = {
      "start",  "plan final", "batch state", "phase began", "condition", "rated",
      "filled", "jar word",   "jars are",    "amended",     "finding",   "deviation"};
  return std::find(types.begin(), types.end(), entry_type) != types.end();
}

Ledger ledger(std::span<const proto::Entry> entries) { return Walk(entries).result(); }

}  // namespace maslin::review
