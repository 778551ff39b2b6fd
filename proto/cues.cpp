// The catalogue of cues. A new cue gets a line here first; the engine may send no other.
#include "proto/cues.hpp"

#include <array>

namespace maslin::proto {
namespace {

using enum Unanswered;

constexpr std::array catalogue = {
    CueKind{"batch_started", 1, "", once, 0, "a batch has begun; simulated devices start now"},
    CueKind{"step", 2, "", asked, 600, "the next thing to do that is not a weighing"},
    CueKind{"weigh", 2, "", asked, 120, "weigh this ingredient now, amount_ug of it"},
    CueKind{"vessel", 2, "", asked, 60, "put an empty vessel on the scale"},
    CueKind{"vessel_seen", 1, "", once, 0, "the vessel is taken as tare, pour"},
    CueKind{"slow", 4, "two quick", once, 0, "the pour nears its aim: slow down"},
    CueKind{"stop", 4, "one long", once, 0, "stop pouring now; again while the pour goes on"},
    CueKind{"more", 2, "rising", asked, 60, "amount_ug is still missing"},
    CueKind{"good", 2, "falling", answers, 0, "within its band; the ingredient is done"},
    CueKind{"over", 3, "two low", asked, 60, "amount_ug too much; what can be done is in the text"},
    CueKind{"undecided", 2, "", asked, 60,
            "the scale cannot tell; what can be done is in the text"},
    CueKind{"by_measure", 2, "", asked, 300,
            "too fine for the scale: measure by spoon, then confirm"},
    CueKind{"plan_final", 2, "", once, 0, "the lead is weighed, the plan is final"},
    CueKind{"scale_lost", 3, "two low", once, 0, "the scale does not answer"},
    CueKind{"scale_over", 3, "two low", asked, 60, "more lies on the scale than it can weigh"},
    CueKind{"scale_fault", 3, "two low", once, 0, "the scale reports a fault"},
    CueKind{"scale_stuck", 2, "", once, 0, "told to add, and the scale shows nothing of it"},
    CueKind{"scale_sleeps", 2, "two low", once, 0, "the scale falls asleep soon, a vessel on it"},
    CueKind{"scale_slides", 2, "", once, 0, "the reading slides by itself"},
    CueKind{"scale_back", 2, "", once, 0, "the scale answers again"},
    CueKind{"new_zero", 3, "two low", once, 0, "the scale has a new zero"},
    CueKind{"lift", 3, "two low", asked, 60, "lift the vessel off and put it back"},
    CueKind{"clear", 3, "two low", asked, 60, "take everything off the scale, then confirm"},
    CueKind{"pan_lost", 3, "two low", once, 0, "the thermometer does not answer"},
    CueKind{"pan_back", 1, "", once, 0, "the thermometer answers again"},
    CueKind{"near_boil", 2, "", once, 0, "the pan will boil soon"},
    CueKind{"foam", 3, "two quick", once, 0, "the pan boils up in a few seconds: turn it down"},
    CueKind{"falling", 3, "two low", once, 0, "the boil is falling: turn it up"},
    CueKind{"boil", 3, "rising", answers, 0, "the pan boils"},
    CueKind{"off_boil", 3, "two low", asked, 60, "the pan has left the boil"},
    CueKind{"dwell_done", 3, "one long", answers, 0, "the time is up"},
    CueKind{"too_long", 4, "one long", until_act, 15,
            "longest time at the boil is reached: off the heat"},
    CueKind{"canner_lost", 3, "two low", once, 0, "the canner's thermometer does not answer"},
    CueKind{"ask", 2, "", asked, 60,
            "an ok against what the instruments show; a second one confirms it"},
    CueKind{"boil_asked", 3, "rising", asked, 60, "does the water bath boil hard? an ok says yes"},
    CueKind{"pan_asked", 2, "rising", asked, 30,
            "does the pan boil, or has it all the time? an ok says yes, a no says no"},
    CueKind{"canner", 2, "", asked, 300, "start the canner now, then confirm"},
    CueKind{"pan_waits", 1, "", once, 0, "the pan waits for the canner"},
    CueKind{"pan_now", 3, "rising", once, 0,
            "pan on the heat now: the canner is ready when the jars are full"},
    CueKind{"pan_cool", 3, "two low", once, 0, "the pan is too cool to fill"},
    CueKind{"jars_cool", 3, "two low", once, 0, "the jars have waited too long out of hot water"},
    CueKind{"seal_asked", 2, "", asked, 30, "is this jar sealed? an ok says yes, silence no"},
    CueKind{"jars", 2, "", asked, 600, "what to do with jars now"},
    CueKind{"advice", 2, "", once, 0,
            "what the readings say is odd: two probes swapped, a probe in the air"},
    CueKind{"amended", 3, "two low", once, 0,
            "what an amendment changes, and what to do with the jars"},
    CueKind{"weigh_in", 2, "", asked, 3600,
            "put what loses water on the scale, load by load, each until it is taken"},
    CueKind{"load_taken", 2, "falling", once, 0, "this load is weighed: lift it off"},
    CueKind{"load_soon", 2, "two low", once, 0, "this load was lifted too soon: put it on again"},
    CueKind{"load_warm", 3, "two low", once, 0, "this load slides on the scale: let it cool first"},
    CueKind{"load_missing", 3, "two low", asked, 120,
            "not all loads were weighed: put the rest on; an ok says that there is no more"},
    CueKind{"weighed_in", 2, "falling", answers, 0,
            "all of it is weighed: what is left of it, and when it will be done"},
    CueKind{"lighter", 3, "two low", asked, 300,
            "lighter than drying makes it: was some taken out? an ok says yes, a no says no"},
    CueKind{"heavier", 3, "two low", asked, 300,
            "heavier than before: an ok says that it is right now, a no that it is weighed again"},
    CueKind{"drops_asked", 2, "", asked, 1800,
            "are there drops in the jar? an ok says none, a no says some"},
    CueKind{"ph_asked", 2, "", asked, 7200,
            "a ferment is to be measured; the text says what an ok does with it"},
    CueKind{"disk", 4, "two low", until_act, 15, "the record cannot be written; the text says why"},
    CueKind{"held", 3, "two low", once, 0, "the batch is held; the text says what ends it"},
    CueKind{"released", 2, "", answers, 0, "the batch goes on"},
    CueKind{"stands", 1, "", once, 0, "how it stands, at most once a day"},
    CueKind{"room_asked", 2, "", asked, 7200, "is the place as it should be? an ok says yes"},
    CueKind{"room_warm", 3, "two low", once, 0, "the place is outside its bounds"},
    CueKind{"room_back", 1, "", once, 0, "the place is inside its bounds again"},
    CueKind{"room_lost", 2, "", asked, 7200,
            "the thermometer of the place does not answer: is it as it should be?"},
    CueKind{"caution", 2, "", once, 0, "a caution, in full, once"},
    CueKind{"complete", 2, "falling", answers, 0, "the batch is complete"},
    CueKind{"stopped", 2, "", answers, 0, "the batch was stopped"},
};

std::string span_of(int seconds) {
  return seconds % 60 == 0 ? std::to_string(seconds / 60) + " min" : std::to_string(seconds) + " s";
}

}  // namespace

std::span<const CueKind> cue_catalogue() { return catalogue; }

const CueKind* find_cue(std::string_view id) {
  for (const auto& kind : catalogue) {
    if (kind.id == id) return &kind;
  }
  return nullptr;
}

std::string unanswered_text(const CueKind& kind) {
  switch (kind.unanswered) {
    case Unanswered::asked:
      return "after " + span_of(kind.again_s) + ", " + span_of(3 * kind.again_s) + ", then stands";
    case Unanswered::until_act:
      return "every " + span_of(kind.again_s) + " until acted on";
    case Unanswered::once:
    case Unanswered::answers:
      break;
  }
  return "once";
}

}  // namespace maslin::proto
