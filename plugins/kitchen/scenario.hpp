// What is simulated: the devices, the pots, the cook and what goes wrong, read from a TOML file.
// Times are seconds, masses grams, temperatures degrees Celsius.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plugins/kitchen/drier.hpp"

namespace maslin::kitchen {

struct ScaleModel {
  double interval_g = 1;
  double capacity_g = 5000;
  double rate_hz = 10;
  double lag_s = 0.3;     // one-pole display filter
  double noise_g = 0.05;  // standard deviation before rounding
  double sleep_s = 0;     // without a change it sleeps, and wakes with a new zero; 0: never
  double span_ppm = 0;    // how much too much it shows, of the load
};

struct ProbeModel {
  double lag_s = 6;
  double offset_k = 0.1;
  double noise_k = 0.03;
  double period_s = 1;
  double resolution_k = 0.1;  // World sends tenths of a degree; tests may have a finer probe
};

struct PotModel {
  double power_w = 1800;
  double loss_w_per_k = 6;
  double boils_at_c = 99.9;  // the content, here; water, where it has solids
  double room_c = 21;
  double solids_share = 0;  // of what is filled in: steam leaves it, and it boils ever hotter
  double heat_capacity_j_gk =
      3.6;  // of the content (common practice, no source: watery produce and syrup)
};

// A water bath. Water, burner and boil are the pot's.
struct CannerModel {
  PotModel pot;
  double water_g = 9000;
  double start_c = 21;   // of the water when it is filled in
  double lid_loses = 1;  // share of the pot's loss that goes on under the lid
  double jars_c = 75;    // when they go in
  double jars_j_per_k = 5000;
  double jars_w_per_k = 40;  // from the water to all of them
};

// Trays, their drier, and how the cook brings them to the scale when he is called.
struct TraysModel {
  DrierModel drier;
  double starts_h = 8;       // hour of the day at which the kitchen begins
  double brought_s = 300;    // after the call he takes them out
  double cools_s = 1500;     // then they stand, before they go on the scale
  double patience_s = 40;    // that he waits for the tone
  double lifts_after_s = 1;  // the tone
  double between_s = 4;      // from one tray to the next
  bool shuffled = false;     // in another order each time
  double away_from_h = 0;    // he is away, and nobody hears anything
  double away_for_h = 0;
};

// Where things stand for weeks: a refrigerator with its defrosting and its door, a larder with its
// weather. The temperature of the air by the time since the kitchen began.
struct WarmModel {  // so much warmer from then on, for so long: a door left open, no current
  double from_h = 0;
  double for_h = 0;
  double kelvin = 5;
};
struct RoomModel {
  double mean_c = 3;
  double swing_k = 0.3;  // day and night, and as much again over nine days
  double defrost_every_h = 0;
  double defrost_min = 15;
  double defrost_k = 4;
  std::vector<WarmModel> warm;
};

struct CookModel {
  double vessel_g = 412.6;
  double fine_vessel_g = 38.2;
  double reaction_s = 0.35;         // from a cue to the hand
  double reaction_spread_s = 0.07;  // standard deviation
  double closing_s = 0.25;          // until a stopped stream is off
  double care = 0.03;               // relative error of what is measured by eye
  double relight_s = 8;             // from hearing that a boil is lost to the flame
  std::string presses = "pedal";    // or scale, while nothing is weighed
};

struct IngredientModel {
  std::string name;
  std::string style = "pour";  // pour or scoop
  double flow_g_s = 25;
  double scoop_g = 60;
  bool fine = false;      // onto the fine scale, in a vessel of its own, where there is one
  double has_g = 0;       // all of it goes in (the lead, by measure); 0: as much as is asked for
  double there_is_g = 0;  // more is not in the cupboard; 0: enough
};

enum class PotName : std::uint8_t { pan, canner };

// What the cook does on hearing a cue. heat: the vessel is emptied into the pan, burner on. canner:
// filled and on full heat, then a press. jars: into the canner, lid on, then a press. look: a press
// once that pot is seen to boil. press_scale: a firm push on the scale. off: the pot's burner.
enum class Does : std::uint8_t {
  nothing,
  vessel,
  heat,
  press,
  press_scale,
  look,
  canner,
  jars,
  off,
  canner_off
};

struct AnswerModel {
  std::string cue = "step";  // its id
  std::string hears;         // part of its words
  Does does = Does::nothing;
  std::optional<PotName> pot;   // that is looked at; none: the canner for boil_asked, else the pan
  std::vector<std::string> of;  // heat: only these of what was weighed
  double after_s = 5;
};

struct SlipModel {  // the first pour of the ingredient goes on for so long after the stop
  std::string ingredient;
  double late_s = 1;
};

struct FaultModel {  // the scale is gone once so much of the ingredient is in
  std::string ingredient;
  double at_g = 100;
  double for_s = 8;
};

// Happens once, to a pot or on the scale, so long after the first cue of that id with those words.
struct TroubleModel {
  enum class What : std::uint8_t {
    burner_out,
    lid_lifted,
    probe_out,
    spoon_on_scale
  } what = What::burner_out;
  PotName pot = PotName::canner;
  std::string cue = "boil";
  std::string hears = "The water bath counts";
  double after_s = 60;
  double for_s = 0;  // burner out: 0 until the cook hears of the lost boil
};

struct Scenario {
  std::uint64_t seed = 1;
  ScaleModel scale;
  std::optional<ScaleModel> fine;
  ProbeModel probe;
  PotModel pot;
  std::optional<CannerModel> canner;
  ProbeModel canner_probe;
  std::optional<RoomModel> room;
  ProbeModel room_probe{1200, 0.1, 0.05, 300, 0.1};  // in a glass of water beside the food
  CookModel cook;
  std::vector<IngredientModel> ingredients;
  std::vector<AnswerModel> answers;
  std::vector<SlipModel> slips;
  std::vector<FaultModel> faults;
  std::vector<TroubleModel> troubles;
  std::optional<TraysModel> trays;
  std::vector<int> unsealed;  // numbers of the jars that did not seal
};

struct ScenarioRead {
  Scenario scenario;
  std::string trouble;  // file:line:column, what is wrong; empty where the scenario is good
};
ScenarioRead read_scenario(std::string_view text, std::string_view file);

}  // namespace maslin::kitchen
