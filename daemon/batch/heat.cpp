// Heat until an end point.
#include "daemon/batch/heat.hpp"

#include <algorithm>
#include <cstdlib>

#include "daemon/batch/doubts.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::batch {
namespace {

constexpr std::int64_t above_for_ms = 3000;  // so long over the target before it counts
constexpr double foam_in_s = 10;
constexpr std::int64_t near_target_mk = 3000;
// A shallow pan or foam makes a probe read low, but not so low (common practice, no source).
constexpr std::int64_t far_mk = 5000;
// What moves less over so long, over a burner, is not in the pan (common practice, no source).
constexpr std::int64_t still_span_mk = 300;
constexpr std::int64_t still_for_ms = 240'000;

}  // namespace

void Heat::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  desk.boil.begin(desk.plan.boiling_point_mk);
  desk.emit(proto::PhaseBegan{index(), "heat", "", operation.text});
  // Without a thermometer that tells, what boils down counts from here on.
  const bool boils_down =
      operation.until == "above boil" || operation.until == "weight" || operation.until == "eye";
  if (boils_down && (operation.by_eye || !desk.pan_mk() || !desk.boil.can_tell())) {
    desk.boil_limit.boils(desk);
  }
  say_again(desk);
}

void Heat::say_again(Desk& desk) {
  const auto& operation = planned(desk);
  const bool by_reading = desk.pan_mk().has_value() && !operation.by_eye &&
                          operation.until != "eye" && operation.until != "weight" &&
                          (operation.until != "boil" || desk.boil.can_tell());
  std::string text = operation.text;
  if (operation.until == "temperature" || operation.until == "above boil") {
    text += " To " + quantity::celsius(operation.target_mk) + ".";
  }
  if (operation.until == "weight") {
    text += " Down to " + quantity::grams(operation.target_ug) + " in the pan.";
  }
  if (!by_reading) text += " Say ok when it is there.";
  desk.cue("step", std::move(text));
}

void Heat::pan_changed(Desk& desk) {
  const auto& operation = planned(desk);
  const auto temperature = desk.pan_mk();
  if (done() || desk.paused || !temperature) {
    above_since_ms_.reset();
    return;
  }
  doubt(desk, *temperature);
  if (operation.by_eye) return;
  if (operation.until == "boil") {
    const auto change = desk.boil.feed(desk.now_ms, *temperature);
    foam(desk);
    switch (change) {
      case preserving::BoilChange::near:
        if (!foam_said_) desk.cue("near_boil", "Soon at the boil, stay with the pan.");
        break;
      case preserving::BoilChange::reached:
        met(desk, "boil reached", "measured");
        break;
      default:
        break;
    }
    return;
  }
  // It may boil long before its end point: acid leaves from then on.
  if (desk.boil.feed(desk.now_ms, *temperature) == preserving::BoilChange::reached) {
    desk.boil_limit.boils(desk);
  }
  if (operation.until != "temperature" && operation.until != "above boil") return;
  if (*temperature < operation.target_mk) {
    above_since_ms_.reset();
    if (!near_said_ && *temperature > operation.target_mk - near_target_mk) {
      near_said_ = true;
      desk.cue("near_boil", "Three degrees to go, stay with the pan.");
    }
    return;
  }
  if (!above_since_ms_) above_since_ms_ = desk.now_ms;
  if (desk.now_ms - *above_since_ms_ >= above_for_ms) met(desk, "temperature reached", "measured");
}

// With sugar in it the first bubbles become a climbing foam within seconds.
void Heat::foam(Desk& desk) {
  const bool sugar = std::any_of(desk.plan.ingredients.begin(), desk.plan.ingredients.end(),
                                 [](const auto& one) { return one.counts_as == "sugar"; });
  const auto forecast = foam_said_ || !sugar ? std::nullopt : desk.boil.forecast();
  if (!forecast || forecast->likely_s > foam_in_s) return;
  foam_said_ = true;
  desk.cue("foam", "It boils up in a few seconds: turn it down as the foam climbs.");
}

void Heat::describe(const Desk& desk, proto::BatchStatus& status) const {
  const auto forecast = desk.boil.forecast();
  if (done() || !desk.pan_mk() || !forecast) return;
  status.boil_from_s = forecast->from_s;
  status.boil_to_s = forecast->to_s;
}

// A pan over the heat does not stand still below the boil: then the thermometer stands elsewhere,
// or is stuck.
void Heat::doubt(Desk& desk, std::int64_t temperature_mk) {
  if (!still_mk_ || std::abs(temperature_mk - *still_mk_) > still_span_mk) {
    still_mk_ = temperature_mk;
    still_since_ms_ = desk.now_ms;
  }
  const auto& operation = planned(desk);
  // A boil that the rule does not take for one stands still as well; a syrup on its way to a target
  // climbs ever more slowly.
  const bool boil = operation.until == "boil";
  const std::int64_t target_mk =
      operation.target_mk > 0 ? operation.target_mk : desk.plan.boiling_point_mk;
  const std::int64_t far = boil ? preserving::pan_rule.short_of_boil_mk : far_mk;
  if (doubted_ || target_mk == 0 || temperature_mk > target_mk - far ||
      desk.now_ms - still_since_ms_ < still_for_ms) {
    return;
  }
  doubted_ = true;
  desk.emit(proto::Condition{"pan's thermometer stands still", "measured", temperature_mk});
  desk.cue("advice", "The pan's thermometer has shown " + quantity::celsius(temperature_mk) +
                         " for four minutes" +
                         (boil && temperature_mk > target_mk - far_mk
                              ? ", and water boils here at " + quantity::celsius(target_mk) +
                                    ": if it boils, say ok, and see to thermometer and altitude."
                              : ": it may not stand in the pan. Go by the eye; say ok when it is "
                                "there."));
}

void Heat::met(Desk& desk, const char* what, const char* evidence) {
  const auto temperature = desk.pan_mk();
  desk.emit(proto::Condition{what, evidence, temperature.value_or(0)});
  const bool boil = planned(desk).until == "boil";
  const auto& operation = planned(desk);
  if (boil || operation.until == "above boil") desk.boil_limit.boils(desk);
  const bool by_degrees = operation.until == "above boil" || operation.until == "temperature";
  if (by_degrees && temperature && !operation.by_eye && std::string_view(evidence) == "measured") {
    desk.solids.boiled(desk, *temperature);
  }
  if (operation.until == "weight") desk.solids.weighed(desk, operation.target_ug, false);
  desk.cue(boil ? "boil" : "step",
           std::string(boil ? "It boils" : "It is there") +
               (temperature ? ", " + quantity::celsius(*temperature) + "." : "."));
  finish();
}

bool confirmed_against_pan(Desk& desk, std::int64_t target_mk, const char* claim) {
  return target_mk == 0 || desk.confirmed_against("pan", desk.pan_mk(), target_mk - far_mk, claim);
}

void Heat::ok(Desk& desk) {
  const auto& until = planned(desk).until;
  const std::int64_t target_mk = until == "eye" || until == "weight" || planned(desk).by_eye ? 0
                                 : until == "boil" ? desk.plan.boiling_point_mk
                                                   : planned(desk).target_mk;
  if (!confirmed_against_pan(desk, target_mk, until == "boil" ? "it boils" : "it is there")) return;
  const auto shows_mk = desk.pan_mk();
  if (until == "boil" && target_mk > 0 && shows_mk && *shows_mk < target_mk - far_mk) {
    contradicts_boil(desk, proto::Role::pan, *shows_mk);
  }
  met(desk,
      until == "boil"                       ? "boil reached"
      : until == "eye" || until == "weight" ? "end point reached"
                                            : "temperature reached",
      "seen by the cook");
}

}  // namespace maslin::batch
