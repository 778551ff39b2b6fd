// The methods of the wire: their names, who may call them, and what goes in and comes out.
// Described for others in proto/openrpc.json; a test holds the two together.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "proto/device.hpp"
#include "proto/facts.hpp"
#include "proto/plan.hpp"
#include "proto/settings.hpp"
#include "proto/trouble.hpp"

namespace maslin::proto {

// name                  params          result           marked
// hello                 Hello           Hello            read
// subscribe             -               BatchStatus      read   then events, see below
// formula_check         FormulaCheck    FormulaChecked   read
// plan_make             PlanRequest     Plan             read
// devices               -               DeviceList       read
// assign                Assign          DeviceState      act
// calibrate             CalibrateRequest  CalibrationStatus  act   answered when the scale is quiet
// settings_show         -               Settings         read
// settings_set          Settings        Settings         act    absent fields stay as they are
// facts_show            -               Facts            read
// facts_set             Facts           Facts            act    absent fields stay as they are
// batch_start           PlanRequest     BatchStatus      act
// batch_status          -               BatchStatus      read
// batch_list            -               BatchList        read
// batch_ok/no/hold/resume/accept/note/eaten/stop BatchWord -> BatchStatus   act
// batch_rate            RateRequest     BatchStatus      act    of a batch that is complete
// batch_jars            JarRequest      BatchStatus      act    also months after its end
// batch_amend           AmendRequest    BatchStatus      act    also weeks after its end
// batch_measure         MeasureRequest  BatchStatus      act    also weeks after its end
// batch_report          BatchWord       Report           read
// batch_why             WhyRequest      Why              read   of one ingredient
// batch_log             LinesRequest    Lines            read
// batch_export          LinesRequest    Lines            read
// batch_verify          BatchWord       Verified         read
// jars                  JarListRequest  JarList          read   of all batches
// review                ReviewRequest   Review           read
//
// Events are notifications: `entry` (params: the entry's text), `progress` (params: Progress),
// `whole_state` (params: BatchStatus, first after subscribing), `current` (the marker after it),
// `farewell` (params: Trouble) before the daemon closes a connection.

inline constexpr int wire_version = 1;

struct Hello {
  std::string program;
  std::string version;
  int wire = wire_version;
};

struct FormulaCheck {
  std::string text;
  std::string file;
};
struct FormulaChecked {
  std::string name;
  bool good = false;
  Troubles troubles;
};

struct PluginState {
  std::string name;
  std::string condition;  // starting, running, starting again, stopped, missing
  std::string why;        // running: the last error that it told
  int restarts = 0;       // since it last ran well
};
struct DeviceList {
  std::vector<DeviceState> devices;
  std::vector<PluginState> plugins;
};
struct Assign {
  std::string role;
  std::string device;  // id, an unmistakable beginning of one, or the label of only one
};

// The calibration of a scale or of a thermometer, one word after the other.
struct CalibrateRequest {
  std::string role;     // bench or fine; pan, canner or room
  std::string what;     // begin (the pan is empty), load, finish (it is empty again), forget; ice
                        // (the tip is in ice and water), boiling (in water that boils)
  double known_g = 0;   // load: the mass that is on the pan,
  double known_ml = 0;  // or so much water
  double celsius = 20;  // of that warmth
  std::optional<double> within;  // what it may be off by at most, in the same unit
  // boiling: the true pressure there, not reduced to the sea; empty: by the altitude.
  std::optional<double> pressure_hpa;
};
struct CalibrationLoad {
  double known_g = 0;
  double standard_uncertainty_g = 0;
  double shown_g = 0;
};
struct CalibrationStatus {
  std::string device;
  Role role = Role::none;
  std::string state;  // begun, loaded, ice, boiling, kept, refused, forgotten
  std::vector<CalibrationLoad> loads;
  // Of a thermometer: what it showed in ice and at the boil so far.
  std::optional<double> ice_shown_c;
  std::optional<double> boil_shown_c;
  // By the loads so far.
  double slope = 1;
  double offset_g = 0;
  double span_uncertainty = 0;
  double chi_squared = 0;
  std::int64_t dof = 0;
  std::string refusal;  // why they may not be used as they are; "" they may
  std::optional<ScaleCalibration> kept;
  std::optional<ProbeCalibration> probe;  // the same of a thermometer
  std::vector<std::string> lines;         // what came of it, for people
  std::string next;                       // what to do now
};

struct BatchWord {
  std::string batch;  // "" the running one, else the newest
  std::string text;   // reason, note, or eaten: how much, "30 g"
};
struct RateRequest {
  std::string batch;  // "" the newest
  std::string set;    // as Rating's fields
  std::string heat;
  std::string pieces;
  std::string text;
};
struct JarRequest {
  std::string batch;   // "" the running one, else the newest
  std::string what;    // as JarWord's fields
  std::string amount;  // yield: "900 mL" or "1.2 kg"
  std::int64_t count = 0;
  std::int64_t part_filled = 0;
  std::vector<std::int64_t> jars;
  std::string where;
  std::string text;
};
struct AmendRequest {
  std::string batch;  // "" the running one, else the newest
  std::string what;   // as Amendment's fields
  std::string of;
  std::string with;
  std::string amount;  // weighed: "612 g"; volume: "900 mL"
  std::int64_t count = 0;
  double figure = 0;  // vinegar: percent
  std::string text;
};
struct MeasureRequest {
  std::string batch;  // "" the running one, else the newest
  std::string what;   // and the others: as Measured's fields
  std::string with;
  double value = 0;
  double interval = 0;
  std::optional<double> temperature_c;  // of the sample
  double low_buffer = 0;
  double low_shown = 0;
  double high_buffer = 0;
  double high_shown = 0;
  std::optional<double> hours;
  std::int64_t jar = 0;
  std::string text;
};
struct JarListRequest {
  std::string batch;   // only of this one; "" all
  std::string lot;     // only those that hold it, wherever they are; "" all
  bool all = false;    // given and discarded ones too
  bool names = false;  // to whom jars were given; for the kitchen's own screen alone
};
// A span of the evening on one of its two lines.
struct ScheduledSpan {
  std::string line;          // pan, canner
  std::string text;          // short: "weigh", "to the boil"
  std::int64_t from_ms = 0;  // since the batch began
  std::int64_t to_ms = 0;
  std::string state;  // done, now, next
};
// What loses water until it weighs so much, as it was weighed last.
struct ToWeight {
  double net_g = 0;
  double begin_g = 0;  // of what is there now
  double target_g = 0;
  double lost_pct = 0;
  std::optional<double> water_pct;  // left in it; null where the formula states only a loss
  std::int64_t weigh_ins = 0;
  std::int64_t weighed_ms = 0;  // at_ms of the last one
  // at_ms at which the target is reached: the middle, and what holds 90 %; null not foretold.
  std::optional<std::int64_t> ready_ms;
  std::optional<std::int64_t> ready_from_ms;
  std::optional<std::int64_t> ready_to_ms;
};
struct BatchStatus {
  std::string batch;
  std::string formula;
  std::string state;  // "" where there is no batch
  std::string phase;
  std::string ingredient;
  double aim_g = 0;
  double lower_g = 0;
  double upper_g = 0;
  std::optional<double> net_g;
  bool at_rest = false;
  std::string verdict;  // at rest: how this number would be judged; nothing is booked
  std::optional<double> pan_c;
  std::optional<double> canner_c;  // in the water bath
  std::optional<double> room_c;    // of the place in which it stands
  // Stand: how long the place was inside its bounds, outside of them and not measured; and the day
  // on which the time will be over, "Thursday 17 December". null and empty in other steps.
  std::optional<std::int64_t> inside_ms;
  std::optional<std::int64_t> outside_ms;
  std::optional<std::int64_t> unmeasured_ms;
  std::string ready_on;
  std::optional<std::int64_t> left_ms;  // of a time that must pass, running or not
  std::string next;                     // the step after this one
  std::string last_cue;                 // its text
  std::string offer;                    // what an ok takes after an over-pour; empty: nothing
  std::string hold;                     // what is wrong, while held
  std::string hold_ends_when;
  std::string hold_pan;
  std::string may_be_called;  // what this batch may be called and why
  std::string by_measure;     // kitchen measure of the ingredient where no scale here judges it
  std::string caution;        // of the step that runs; may be empty
  std::vector<std::string> advice;  // what follows from the cook's last word, and what to do now
  std::vector<std::string> notes;   // of the plan
  std::vector<ScheduledSpan> schedule;  // of what is over and what is foreseen; may be empty
  std::optional<std::int64_t>
      slack_ms;  // the canner is ready so long before the jars are; < 0 late
  // The pot that is heated is foreseen to boil in this time, 95 %; empty where its curve says
  // nothing.
  std::optional<double> boil_from_s;
  std::optional<double> boil_to_s;
  std::int64_t since_ms = 0;          // at_ms of the start
  std::int64_t at_ms = 0;             // engine time
  std::optional<ToWeight> to_weight;  // where it dries to a weight
};
struct BatchSummary {
  std::string batch;
  std::string formula;
  std::string state;
  std::string started_utc;
  std::string parent = {};               // the batch that it was made of; may be empty
  std::vector<std::string> remade = {};  // the batches that were made of it
};
struct BatchList {
  std::vector<BatchSummary> batches;
};
struct ReviewRequest {
  std::string formula;
};
struct WhyRequest {
  std::string batch;
  std::string ingredient;  // its name, or an unmistakable beginning of it
};
struct LinesRequest {
  std::string batch;
  std::int64_t from_line = 0;
};
// Long texts come in pages, so that every message stays under a mebibyte. next_line < 0: that was
// all.
struct Lines {
  std::string batch;
  std::vector<std::string> lines;
  std::int64_t next_line = -1;
};
struct Verified {
  std::string batch;
  std::string answer;  // same, differs by revision, differs, altered
  std::string detail;
  int exit_code = 0;  // 0, 5, 6, 1
  std::int64_t entries = 0;
  std::int64_t readings = 0;
};

}  // namespace maslin::proto
