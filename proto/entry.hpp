// Everything that is written into a batch's record or published from it: the inputs the engine
// takes and the outcomes it decides. batch/ makes and folds these, record/ and store/ keep their
// text, rpc/ sends it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "proto/device.hpp"
#include "proto/facts.hpp"
#include "proto/plan.hpp"
#include "proto/settings.hpp"

namespace maslin::proto {

// ---- inputs ----------------------------------------------------------------------------------

// Opens a batch and holds by content everything that decides.
struct Start {
  std::string batch;  // its name, "2026-11-25-1"
  std::string formula_text;
  std::string formula_file;
  std::string formula_sha256;
  PlanRequest request;  // how the plan was asked for; text left empty (it is formula_text)
  Plan plan;
  Settings settings;
  Facts facts;
  std::vector<LeasedDevice> devices;
  int engine_revision = 0;
  std::string build;
  std::string boot_id;
  bool clock_synchronised = false;
  std::int64_t offset_ms = 0;  // time of the batch less the machine's, or the simulated devices'
  // Local wall clock less at_ms, so that the time of day is (at_ms + local_less_ms) modulo a day.
  std::int64_t local_less_ms = 0;
};

struct Command {
  std::string word;  // ok, no, hold, resume, accept, note, stop, eaten
  std::string text;  // reason, note or amount, as the cook gave it; untrusted
};

struct DeviceEvent {
  std::uint16_t device = 0;  // index into Start::devices
  std::string what;          // lost, silent, back, host restarted
  std::string why;
};

struct Suspend {
  std::int64_t gap_ms = 0;
};  // the machine slept; at_ms is after it
struct ClockStep {
  std::int64_t step_ms = 0;
};                // UTC was set by this much
struct Restart {  // the daemon came back with the batch open
  std::string boot_id;
  std::int64_t gap_ms = 0;  // not watched, from at_ms within a boot, else from UTC
  bool same_boot = false;
  std::int64_t offset_ms = 0;  // as Start's, from here on
  std::int64_t local_less_ms = 0;
};

struct Timer {
  std::string name;  // of a deadline that the engine had set
};
struct StoreEvent {  // the disk began to refuse, or takes again
  bool failing = false;
  std::string why;
};

// How a finished batch turned out, given by the cook when it has set: a day later, two weeks later.
struct Rating {
  std::string set;     // runny, soft, good, stiff; may be empty
  std::string heat;    // too mild, right, too hot; may be empty
  std::string pieces;  // even, floating, sunk; may be empty
  std::string text;    // in the cook's words; untrusted
};

// What the cook says of jars, by their numbers from 1.
struct JarWord {
  std::string what;        // yield, filled, not sealed, sealed, process again, now
  std::int64_t count = 0;  // yield: millilitres; filled: whole jars; not sealed: how many, where no
                           // numbers are given
  std::int64_t part_filled = 0;    // filled: 0 or 1
  std::vector<std::int64_t> jars;  // sealed, not sealed, now: which; empty means all
  std::string where;         // now: shelf, refrigerator, freezer, given, opened, discarded, remade
  std::string text;          // to whom, why; stays here; untrusted
  std::int64_t mass_ug = 0;  // yield: its weight; 0: `count` says how much it is
};

// A fact that was wrong, put right later; what was recorded first stays.
struct Amendment {
  std::string what;  // swapped, weighed, left out, jars, vinegar, volume, lot, brine, added
  std::string of;    // ingredient; vinegar: may be empty where there is one; lot: what it is of
  std::string with;  // swapped: the other ingredient; lot: as printed; untrusted
  std::int64_t mass_ug = 0;  // weighed: what really went in; brine, added: so much more
  std::int64_t count = 0;    // jars: whole ones
  double figure = 0;         // vinegar: percent by the label; volume: millilitres
  std::string text;          // why; untrusted
};

// What the cook has read off an instrument that is not plugged in.
struct Measured {
  std::string what;     // solids, ph
  std::string with;     // refractometer; meter, paper
  double value = 0;     // as shown: percent, pH
  double interval = 0;  // what the display steps in, in the same unit
  double temperature_c = 20;
  // meter: what the two buffers are and what it showed in them.
  double low_buffer = 0;
  double low_shown = 0;
  double high_buffer = 0;
  double high_shown = 0;
  std::optional<double> hours;  // ph: between the end of the process and the reading; empty: now
  std::int64_t jar = 0;         // ph: which was opened for it; 0 not told
  std::string text;             // untrusted
};

using Input = std::variant<Start, Command, DeviceEvent, Suspend, ClockStep, Restart, Timer,
                           StoreEvent, Rating, JarWord, Amendment, Measured>;

// ---- outcomes --------------------------------------------------------------------------------

// How soon an outcome must reach the cook. live: at once, may be merged, not recorded; urgent: at
// once, recorded; settled: in order, only after it is on disk.
enum class Effect : std::uint8_t { live, urgent, settled };

struct BatchState {
  std::string state;
  std::string why;
};  // idle running held complete stopped aborted

struct PhaseBegan {
  int operation = 0;       // index into Plan::operations
  std::string kind;        // as the operation's
  std::string ingredient;  // weigh only
  std::string text;
};

// The net mass of one ingredient. `corrects` is set where it stands in for an earlier one.
struct Weighing {
  std::string ingredient;
  std::int64_t net_ug = 0;
  std::int64_t standard_uncertainty_ug = 0;
  std::int64_t expanded_uncertainty_ug = 0;  // 95 %, by convolution
  // poured, scooped, taken from the vessel, placed, by measure, entered, amended
  std::string how;
  int device = -1;  // index into Start::devices; -1 none
  int epoch = 0;
  int indications = 2;  // how many indications the net was made of
  std::uint64_t from_reading = 0;
  std::uint64_t to_reading = 0;
  bool corrects = false;
  // What the uncertainty is made of besides the scale itself.
  std::int64_t repeatability_ug = 0;   // standard deviation of one indication
  std::int64_t repeatability_dof = 0;  // degrees of freedom of it; 0: assumed, not seen
  std::int64_t drift_ug = 0;           // standard uncertainty by a slide
  std::int64_t sticking_ug = 0;        // half width by what may stick in the vessel
};

struct Verdict {
  std::string ingredient;
  std::string verdict;  // within, under, over, undecided
  std::int64_t net_ug = 0;
  std::int64_t aim_ug = 0;
  std::int64_t lower_ug = 0;
  std::int64_t upper_ug = 0;
  double probability_within = 0;
  bool critical = false;
  std::string rule;       // guarded, simple, by measure
  bool accepted = false;  // as it is, by the cook
};

struct PlanFinal {
  Plan plan;
  std::string why;
};  // the lead has been weighed

struct Cue {
  std::string id;   // from the catalogue, proto/cues.hpp
  int urgency = 1;  // 4 now, 3 soon, 2 next, 1 once and quietly
  std::string text;
  std::string ingredient;      // may be empty
  std::int64_t amount_ug = 0;  // the amount the text speaks of; 0 none
  bool quietly = false;        // light and text only: no tone, no voice
};

struct Held {
  std::string reason;           // device lost, fault, critical limit, cook, store
  std::string what;             // what is wrong
  std::string ends_when;        // what ends it
  std::string pan;              // what to do with the pan now; empty where none is hot
  std::int64_t good_for_s = 0;  // how long that is good for; 0 no limit
};
struct Released {
  std::string reason;
  std::string by;
};  // by: the device, the cook, the store

struct ZeroEpoch {
  int device = -1;
  int number = 0;
  std::string why;
};

// A condition of the heat was met or left. evidence: measured, or seen by the cook.
struct Condition {
  std::string
      what;  // boil reached, boil left, temperature reached, dwell began, dwell done, dwell paused
  std::string evidence;
  std::int64_t temperature_mk = 0;  // 0 where no thermometer says
};

// A limit or band that was left and what was done about it.
struct Deviation {
  std::string about;  // ingredient or "acid per low-acid food"
  bool critical = false;
  std::string what;
  std::string done;
};

// How a place has been while something stands in it, since it began; a later one stands in for an
// earlier one. The three sums add up to the time since then.
struct Stood {
  int operation = 0;  // index into Plan::operations
  std::int64_t inside_ms = 0;
  std::int64_t outside_ms = 0;
  std::int64_t unmeasured_ms = 0;
  std::int64_t counted_ms = 0;      // of the time that must pass
  std::int64_t longest_gap_ms = 0;  // without a reading
  std::int64_t coldest_mk = 0;      // 0 without any reading
  std::int64_t warmest_mk = 0;
  int device = -1;       // index into Start::devices; -1 none
  std::string evidence;  // measured, seen by the cook, by the clock
  bool done = false;     // its time is over
};

struct Noted {
  std::string text;
};

struct Rated {
  Rating rating;
  std::int64_t after_ms = 0;  // since the batch was complete
};

// The jars were filled.
struct Filled {
  std::int64_t jars = 0;         // whole ones
  std::int64_t part_filled = 0;  // one more that goes to the refrigerator
  std::int64_t expected = 0;     // whole ones that the pan should have given; 0 not known
  std::string evidence;          // as expected, counted by the cook
  std::string unit = "jar";      // what is counted: jar; piece of meat, container of what was dried
};

// Where jars are from now on. A later one stands in for an earlier one, jar by jar.
struct JarsAre {
  std::vector<std::int64_t> jars;  // or pieces, or containers
  // cooling, in the making, not sealed, not there, shelf, refrigerator, freezer, given, opened,
  // discarded, remade
  std::string where;
  std::string why;
  std::string todo;          // what to do with them now; may be empty
  bool lasting = false;      // that holds for as long as they are there, and not only now
  std::string unit = "jar";  // as Filled's
};

// An amendment was taken: how the fact stood and stands, in words. What follows from it comes with
// it, as corrected weighings, verdicts, deviations and jars.
struct Amended {
  Amendment amendment;  // `of` and `with` as the plan calls them
  std::string was;
  std::string is;
};

// More of what is in already.
struct Addition {
  std::string ingredient;
  std::int64_t add_ug = 0;
};
// A rung of the ladder that would not have mended an over-pour.
struct RefusedWay {
  std::string rung;        // as WayOut's
  std::string blocked_by;  // mixed, largest multiple, pan, scale, at hand, ratio, band, quality,
                           // critical limit, keeping, plan, cook
  std::string why;
};
// How an over-pour was put right, or what became of it.
struct WayOut {
  std::string ingredient;
  // taken out, accepted, topped up, larger batch, refrigerator, start again
  std::string rung;
  std::int64_t net_ug = 0;   // of the ingredient, with its excess
  std::int64_t over_ug = 0;  // the excess over the aim
  double factor = 1;         // larger batch: of the plan before it
  std::vector<Addition> additions;
  std::vector<RefusedWay> refused;  // the rungs before it
};

// What instruments say of the product, each with its uncertainty.
struct Finding {
  std::string what;     // soluble solids, equilibrium pH, mass in the pan, volume in the pan
  std::string by;       // mass balance, boiling point, refractometer, pH meter
  std::string verdict;  // agrees, differs; within, over, undecided; may be empty
  double value = 0;     // percent, pH, grams, millilitres
  double standard_uncertainty = 0;
  double limit = 0;    // ph: the highest that is allowed; 0 none
  std::string detail;  // what it rests on, what was corrected
  std::int64_t jar = 0;
};

// All of what loses water was weighed, load by load, and counts.
struct WeighIn {
  std::string of;           // kind of the operation
  std::int64_t number = 0;  // 1, 2, 3 ... in this operation
  std::int64_t net_ug = 0;  // food, without trays
  std::int64_t standard_uncertainty_ug = 0;
  std::int64_t begin_ug = 0;   // what there would have been at the beginning of what is there now
  std::int64_t target_ug = 0;  // of what is there now
  std::int64_t loads = 0;      // trays
  int device = -1;             // index into Start::devices
  // From now until the target, by the weigh-ins so far: the middle, and what holds 90 %. 0: nothing
  // can be foretold yet, or it is reached.
  std::int64_t left_ms = 0;
  std::int64_t left_from_ms = 0;
  std::int64_t left_to_ms = 0;
};

// How a pour stands; live, never recorded.
struct Progress {
  std::string ingredient;
  std::int64_t net_ug = 0;
  bool at_rest = false;
  std::int64_t temperature_mk = 0;  // of the pan; 0 unknown
  std::string verdict{};            // at rest: how this number would be judged; nothing is booked
};

using Outcome = std::variant<BatchState, PhaseBegan, Weighing, Verdict, PlanFinal, Cue, Held,
                             Released, ZeroEpoch, Condition, Deviation, Noted, Progress, Rated,
                             Filled, JarsAre, Amended, WayOut, Finding, WeighIn, Stood>;

Effect effect_of(const Outcome& outcome);
std::string_view type_of(const Input& input);      // "start", "command", "device event" ...
std::string_view type_of(const Outcome& outcome);  // "weighing", "verdict" ...

// Stamps common to all entries.
struct Stamp {
  std::int64_t sequence = 0;  // 1, 2, 3 ... within the batch
  std::int64_t at_ms = 0;
  std::int64_t utc_ms = 0;          // Unix time
  std::uint64_t after_reading = 0;  // number of the last reading taken before it
};

struct Entry {
  Stamp stamp;
  std::variant<Input, Outcome> body;
  bool is_input() const { return body.index() == 0; }
};

// The one text of an entry, a JSON object on one line without its newline; the same bytes go to
// disk, to every client and to every cue plugin. read_entry keeps unknown fields out of the structs
// but not out of the text, which is what is stored.
std::string entry_text(const Entry& entry);

}  // namespace maslin::proto
