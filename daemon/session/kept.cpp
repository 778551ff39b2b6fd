// What is kept between batches at the cook's word: settings and facts, each checked before it is
// taken.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>

#include "daemon/preserving/acidity.hpp"
#include "daemon/preserving/boiling.hpp"
#include "daemon/session/session.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

constexpr std::size_t longest_name = 80;  // bytes of a lot and of what it is of
constexpr std::size_t most_lots = 100;
constexpr std::size_t most_learned = 1000;
constexpr std::int64_t most_times = 1'000'000;

// What pours and scales can have taught: a stop is never learned later than three seconds, a sleep
// within half a minute to half an hour; what sticks is less than a kilogram.
bool learnable(const proto::Learned& one) {
  constexpr std::int64_t second_ms = 1000;
  constexpr std::int64_t most_ug = 1'000'000'000;
  if (one.by.size() > longest_name || one.vessel_ug < 0) return false;
  if (one.what == "stuck") {
    return one.value_ug > 0 && one.value_ug <= most_ug && one.times >= 1 && one.times <= most_times;
  }
  const bool sleep = one.what == "asleep after";
  const std::int64_t least_ms = sleep ? 30 * second_ms : 0;
  const std::int64_t most_ms = sleep ? 30 * 60 * second_ms : 3 * second_ms;
  return (sleep || one.what == "stop delay") && one.value_ms >= least_ms &&
         one.value_ms <= most_ms && one.spread_ms >= 0 && one.spread_ms <= most_ms &&
         one.times >= 1 && one.times <= most_times;
}

bool outside(double value, double least, double most) {
  return !std::isfinite(value) || value < least || value > most;
}

template <std::size_t N>
bool none_of(const std::array<const char*, N>& words, const std::string& value) {
  return !value.empty() && std::find(words.begin(), words.end(), value) == words.end();
}

constexpr std::array pectins = {"powdered", "liquid"};
constexpr std::array jar_kinds = {"two-piece lid", "screw lid", "clip"};
constexpr std::array metals = {"stainless steel", "enamel", "aluminium", "copper", "brass", "iron"};

// "2027-03-31"
bool is_date(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  for (const std::size_t at : std::array<std::size_t, 8>{0, 1, 2, 3, 5, 6, 8, 9}) {
    if (text[at] < '0' || text[at] > '9') return false;
  }
  const auto number = [&](std::size_t from, std::size_t digits) {
    return static_cast<unsigned>(std::stoi(text.substr(from, digits)));
  };
  return (std::chrono::year(static_cast<int>(number(0, 4))) / number(5, 2) / number(8, 2)).ok();
}

}  // namespace

proto::Result<proto::Settings> Session::set(const proto::Settings& settings) {
  if (settings.altitude_m && !preserving::boiling_point_mk(*settings.altitude_m)) {
    return proto::trouble("the altitude is no height of a kitchen", "--altitude",
                          "give metres above the sea, -430 to 8800, or feet: \"2100 ft\"");
  }
  if (outside(settings.usual_spread, 0.001, 0.2)) {
    return proto::trouble("the usual spread is out of range", "--spread",
                          "give 0.1 % to 20 % (0.001 to 0.2); 2 % is usual");
  }
  if (outside(settings.scale_lag_s, 0, 5)) {
    return proto::trouble("the lag of the scale is out of range", "--scale-lag",
                          "give 0 to 5 seconds");
  }
  if (outside(settings.reaction_s, 0, 3)) {
    return proto::trouble("the reaction is out of range", "--reaction", "give 0 to 3 seconds");
  }
  if (outside(settings.cue_delay_s, 0, 3)) {
    return proto::trouble("the delay of the tone is out of range", "--cue-delay",
                          "give 0 to 3 seconds");
  }
  constexpr std::int64_t day_min = 24 * 60;
  if (settings.waking_from_min < 0 || settings.waking_to_min > day_min ||
      settings.waking_from_min + 60 > settings.waking_to_min) {
    return proto::trouble("those are no waking hours", "--waking",
                          "give at least an hour of one day: \"07:00 to 22:00\"");
  }
  if (settings.units != "kitchen" && settings.units != "grams") {
    return proto::trouble("that is no order of units", "--units",
                          "give kitchen (cups and spoons first) or grams");
  }
  for (const auto minute : {settings.quiet_from_min, settings.quiet_to_min}) {
    if (minute < 0 || minute > day_min) {
      return proto::trouble("those are no hours of a day", "--quiet-hours",
                            "give for instance \"22:00 to 07:00\", or none");
    }
  }
  settings_ = settings;
  store_.keep("settings", proto::to_json(settings_));
  return settings_;
}

proto::Result<proto::Facts> Session::set(const proto::Facts& facts) {
  struct Figure {
    std::optional<double> value;
    double least;
    double most;
    const char* option;
    const char* todo;
  };
  const auto count = [](const std::optional<std::int64_t>& value) -> std::optional<double> {
    if (!value) return std::nullopt;
    return static_cast<double>(*value);
  };
  const Figure figures[] = {
      {facts.nitrite_pct, 0.1, 29.9, "--nitrite",
       "give percent by the label, like \"6.25 %\"; a mix without a label is not used"},
      {facts.pectin_package_g, 1, 2000, "--package", "give grams, 1 to 2000"},
      {facts.jar_ml, 20, 5000, "--jar", "give what one jar holds, 20 mL to 5 L"},
      {facts.jar_cm, 3, 40, "--jar-high", "give its height with the lid on, 3 to 40 cm"},
      {count(facts.jars), 0, 500, "--jars", "give how many there are, 0 to 500"},
      {count(facts.lids), 0, 500, "--lids", "give how many new ones there are, 0 to 500"},
      {facts.vessel_g, 10, 20'000, "--vessel", "give its mass, 10 g to 20 kg"},
      {facts.pan_cm, 8, 80, "--pan", "give its inner diameter, 8 to 80 cm"},
      {facts.pan_l, 0.3, 60, "--pan-holds", "give what it holds, 0.3 to 60 L"},
      {facts.canner_l, 0.5, 60, "--canner", "give the water in it, 0.5 to 60 L"},
      {facts.canner_cm, 10, 80, "--canner-wide", "give its inner diameter, 10 to 80 cm"},
      {facts.canner_high_cm, 5, 80, "--canner-high", "give its height from the rack, 5 to 80 cm"},
      {count(facts.canner_jars), 1, 100, "--canner-jars", "give how many fit in, 1 to 100"},
      {facts.canner_min, 1, 240, "--canner-takes", "give minutes from cold to the boil, 1 to 240"},
      {facts.canner_kw, 0.2, 20, "--canner-power", "give kilowatts, 0.2 to 20"}};
  if (facts.vinegar_pct) {
    if (auto no = preserving::no_vinegar(*facts.vinegar_pct, "--vinegar")) {
      return tl::unexpected<proto::Trouble>(std::move(*no));
    }
  }
  for (const auto& one : figures) {
    if (one.value && outside(*one.value, one.least, one.most)) {
      return proto::trouble("that is out of range", one.option, one.todo);
    }
  }
  if (none_of(pectins, facts.pectin)) {
    return proto::trouble("that is no kind of pectin", "--pectin", "give powdered or liquid");
  }
  if (none_of(jar_kinds, facts.jar_kind)) {
    return proto::trouble("that is no kind of jar", "--jar-kind",
                          "give \"two-piece lid\", \"screw lid\" or clip");
  }
  if (none_of(metals, facts.pan_metal)) {
    return proto::trouble("that is no metal of a pan", "--pan-metal",
                          "give \"stainless steel\", enamel, aluminium, copper, brass or iron");
  }
  if (!facts.pectin_date.empty() && !is_date(facts.pectin_date)) {
    return proto::trouble("that is no date", "--package-date", "write it like 2027-03-31");
  }
  if (facts.cook.size() > longest_name) {
    return proto::trouble("a name of more than 80 bytes", "--cook", "write a shorter one");
  }
  if (facts.lots.size() > most_lots) {
    return proto::trouble("there are more than a hundred lots", "--lot",
                          "maslin facts --forget lots, then tell those in use");
  }
  for (const auto& lot : facts.lots) {
    if (lot.of.empty() || lot.lot.empty() || lot.of.size() > longest_name ||
        lot.lot.size() > longest_name) {
      return proto::trouble("a lot has a name and a number, of at most 80 bytes each", "--lot",
                            "write --lot \"cider vinegar=L1234\"");
    }
  }
  if (facts.learned.size() > most_learned ||
      !std::all_of(facts.learned.begin(), facts.learned.end(), learnable)) {
    return proto::trouble("no pour and no scale can have taught that", "learned",
                          "leave it as it was, or maslin facts --forget learned");
  }
  facts_ = facts;
  store_.keep("facts", proto::to_json(facts_));
  return facts_;
}

// Once a batch, also where the daemon was started anew in between.
void Session::take_off_used() {
  const auto used = live_->engine().used();
  if (!used || taken_off_for_ == live_->name()) return;
  const auto less = [](std::optional<std::int64_t>& there, std::int64_t gone) {
    if (there) there = std::max<std::int64_t>(*there - gone, 0);
  };
  less(facts_.jars, used->jars);
  less(facts_.lids, used->lids);
  // Killed between the two, jars are taken off twice: too few are there sooner than too many.
  taken_off_for_ = live_->name();
  store_.keep("facts", proto::to_json(facts_));
  store_.keep("facts/taken_off_for", taken_off_for_);
}

}  // namespace maslin::session
