// The tolerance report of a batch and the review over batches, as plain facts; review/ computes
// them, the client prints them. Grams and degrees Celsius, as people read them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "proto/facts.hpp"
#include "proto/plan.hpp"

namespace maslin::proto {

struct ReportIngredient {
  std::string name;
  std::string amount;
  double aim_g = 0;
  double lower_g = 0;
  double upper_g = 0;
  std::optional<double> weighed_g;
  std::optional<double> standard_uncertainty_g;
  std::optional<double> expanded_uncertainty_g;
  std::optional<double> deviation_g;  // weighed less aim
  std::string verdict;  // within, under, over, undecided, accepted (with a reason), not weighed
  std::string how;
  std::string amended;  // how it was recorded first, "was 598 g"; may be empty
  bool critical = false;
};
struct ReportRatio {  // a critical limit: grams of one group per gram of another
  std::string of;
  std::string per;
  bool least = true;  // else the limit is a most
  double limit = 0;
  std::optional<double> achieved;              // by what was weighed; empty where something was not
  std::optional<double> expanded_uncertainty;  // of achieved, 95 %
  std::string verdict;  // kept, broken, undecided (by less than its uncertainty), not weighed
  bool share = false;   // limit and achieved are shares of both groups together
};
struct ReportHold {
  std::string reason;
  std::string what;
  std::int64_t from_ms = 0;  // since the batch began
  std::optional<std::int64_t> lasted_ms;
  std::string ended_by;
};
struct ReportTemperature {
  std::string device;  // role
  std::string phase;   // text of the operation
  std::int64_t readings = 0;
  double least_c = 0;
  double mean_c = 0;
  double greatest_c = 0;
};
// How a place was while something stood in it.
struct ReportStand {
  std::string phase;   // text of the operation
  std::string bounds;  // "1 °C to 4 °C"; empty where nothing bounds it
  std::int64_t time_ms = 0;
  std::int64_t counted_ms = 0;  // of it
  std::int64_t inside_ms = 0;
  std::int64_t outside_ms = 0;
  std::int64_t outside_most_ms = 0;
  std::int64_t unmeasured_ms = 0;
  std::int64_t longest_gap_ms = 0;
  std::int64_t gap_most_ms = 0;
  std::optional<double> coldest_c;
  std::optional<double> warmest_c;
  std::string device;    // role; may be empty
  std::string evidence;  // measured, seen by the cook, by the clock
  std::int64_t restarts = 0;
  bool done = false;
};
// Sodium nitrite that went in, by the weighed masses and the label.
struct ReportNitrite {
  double ppm = 0;  // of the green weight
  double expanded_uncertainty_ppm = 0;
  double most_ppm = 0;
  std::string product;
  std::string source;
  double label_pct = 0;
  std::string verdict;  // kept, broken, undecided
};
struct ReportEvent {  // a condition, a deviation, a zero epoch, an amendment
  std::int64_t from_ms = 0;
  std::string what;
  std::string detail;
};
// What instruments said of the product, as Finding's fields.
struct ReportFinding {
  std::string what;
  std::string by;
  std::string verdict;
  double value = 0;
  double expanded_uncertainty = 0;  // 95 %
  double limit = 0;
  std::string detail;
  std::int64_t jar = 0;
  std::int64_t from_ms = 0;  // since the batch began
};
// One line of the uncertainty of a net.
struct WhyComponent {
  std::string what;   // "the steps of the scale, before"
  std::string basis;  // where its size comes from
  double standard_uncertainty_g = 0;
  double share_pct = 0;  // of the variance
};
// Why an ingredient was judged as it was.
struct Why {
  std::string batch;
  std::string ingredient;
  std::string verdict;  // of the newest weighing; "" none
  bool accepted = false;
  std::string how;
  double aim_g = 0;
  double lower_g = 0;
  double upper_g = 0;
  std::optional<double> weighed_g;
  double standard_uncertainty_g = 0;
  double expanded_uncertainty_g = 0;     // 95 %
  double coverage_factor = 0;            // the second by the first
  std::optional<double> effective_dof;   // by Welch-Satterthwaite, at least; none: unlimited
  double student_factor = 0;             // Student's t of 95 % for them; 0 without components
  std::vector<WhyComponent> components;  // largest first; empty where no scale weighed it
  std::string rule;                      // of the verdict, in words
  double probability_within = 0;         // by this net and its uncertainty alone
  double consumer_risk = 0;              // that what was accepted lies outside the band
  double producer_risk = 0;              // that what was refused lies inside it
  std::vector<std::string> ways_out;     // of an undecided one
  std::vector<ReportEvent> story;        // weighings, verdicts, zeros, corrections, in order
};
// Jars of one batch that stand alike: in one place since one moment, with one thing to do.
struct JarGroup {
  std::string batch;
  std::string formula;
  std::vector<std::int64_t> jars;  // the numbers of the jars, pieces or containers, from 1
  bool part_filled = false;
  std::string size;          // of one, "250 mL"; may be empty
  std::string where;         // as JarsAre says
  std::string since_utc;     // ISO 8601
  std::string until_utc;     // ISO 8601; may be empty
  std::string until_means;   // best before, use by, decide by; empty with until_utc
  std::string basis;         // where that comes from
  bool past = false;         // until is over
  std::string todo;          // what to do with them; may be empty
  std::string holds;         // of the lot that was asked for, and which way; may be empty
  std::string whom;          // given: to whom. Only where names were asked for
  std::string why;           // discarded: why; may be empty
  std::string unit = "jar";  // jar, piece, container
};
struct Report {
  std::string batch;
  std::string formula;
  std::string state;
  std::string may_be_called;
  std::string parent;               // the batch that it was made of; may be empty
  std::vector<std::string> remade;  // the batches that were made of it
  std::string started_utc;          // ISO 8601
  double factor = 1;
  bool provisional = false;
  std::optional<double> altitude_m;   // as it was set
  double jar_ml = 0;                  // of one jar; 0 not known
  std::optional<double> vinegar_pct;  // by the label of the bottle, as last told
  std::int64_t bath_ms = 0;           // the row of the water bath that stood in the plan; 0 none
  std::vector<ReportIngredient> ingredients;
  std::vector<ReportRatio> ratios;
  std::vector<ReportHold> holds;
  std::vector<ReportTemperature> temperatures;
  std::vector<ReportStand> stands;
  std::optional<ReportNitrite> nitrite;
  std::vector<ReportEvent> conditions;
  std::vector<ReportFinding> findings;
  std::vector<ReportEvent> deviations;
  std::vector<ReportEvent> amendments;
  std::vector<JarGroup> jars;         // where they are; without names and without today's date
  std::vector<ReportEvent> outcomes;  // how it turned out; from_ms is since it was complete
  std::string set;                    // by the newest rating that speaks of it; may be empty
  std::string heat;
  std::string pieces;
  std::optional<std::int64_t> boiled_ms;  // the pan, from its first boil to the end of its last
  std::vector<ReportEvent> epochs;
  std::vector<Caution> cautions;
  std::vector<std::string> remarks;  // what is unfinished or was entered by hand
  std::string chain;                 // start of the last hash
};

// One line of the safety record: what had to hold and what was found.
struct SafetyLimit {
  std::string what;
  std::string limit;
  std::string found;  // with its uncertainty; may be empty
  // measured, seen by the cook, by measure, told by the cook, not measured; "measured, and told by
  // the cook" where both are in it
  std::string how;
  std::string device;   // what the batch calls it; may be empty
  std::string verdict;  // kept, within, broken, over ..., not confirmed
  std::string at_utc;   // ISO 8601; empty where it is of no moment
};
struct SafetyDevice {
  std::string role;
  std::string id;
  std::string interval;     // "1 g"; may be empty
  std::string calibration;  // when and with what, or that it never was
};
// What an inspector asks for, on one page.
struct SafetyRecord {
  std::string batch;
  std::string product;
  std::string state;
  std::string may_be_called;
  std::string source;          // what a tested formula cites; may be empty
  std::string formula_sha256;  // of its exact text
  std::string keeping;
  std::string cook;  // as told; empty: not named; untrusted
  std::string started_utc;
  std::string started_local;  // where the clock of the kitchen is not UTC
  std::string ended_utc;      // of the last entry
  std::optional<double> altitude_m;
  std::int64_t engine_revision = 0;
  std::vector<SafetyLimit> limits;
  std::vector<SafetyDevice> devices;
  std::vector<ReportEvent> deviations;  // with what was done
  std::vector<ReportHold> holds;
  std::vector<ReportEvent> amendments;
  std::vector<JarGroup> jars;
  std::string chain;  // the last hash, all of it
};

// Something that is due: a rating, a look at the seals, a jar past its date.
struct JarTask {
  std::string batch;
  std::string text;
  std::string due_utc;
  bool late = false;
};
struct JarList {
  std::vector<JarTask> todo;
  std::vector<JarGroup> jars;  // what to use first comes first
};

struct ReviewRow {
  std::string ingredient;
  std::int64_t count = 0;
  double mean_deviation_g = 0;
  double spread_g = 0;  // standard deviation, n - 1; 0 for one batch
  double mean_deviation_pct = 0;
  double worst_g = 0;  // deviation of greatest size, with its sign
  double share_within = 0;
};
struct ReviewOutcome {
  std::string what;  // set, heat, pieces
  std::string how;   // as Rating's fields
  std::int64_t count = 0;
};
struct ReviewOutside {
  std::string batch;
  double value = 0;
};
// One figure over the batches of one formula, in the order in which they were made.
struct ReviewChart {
  std::string figure;         // an ingredient, "time at the boil", a critical limit
  std::string unit;           // "% off its aim", "min"; may be empty
  std::int64_t decimals = 1;  // that mean something
  std::int64_t count = 0;     // batches that have it
  double mean = 0;
  double lower = 0;  // limits at three standard deviations, from the moving range or the ranges
  double upper = 0;
  // Of single values: from one batch to the next, in the mean and at most; lag 1.
  std::optional<double> step_mean;
  std::optional<double> step_upper;
  std::optional<double> autocorrelation;
  // Where nine batches of ten will lie, at 95 % confidence; a critical limit has one end. Empty
  // where the batches have no common level.
  std::optional<double> nine_of_ten_lower;
  std::optional<double> nine_of_ten_upper;
  std::vector<ReviewOutside> outside;  // left out of the figures above
  std::string drift;                   // higher, lower; empty where there is none
  std::string drift_since;             // batch; empty with drift
  std::vector<std::string> lines;      // what stands out, in words
  std::string expected;                // of nine batches in ten, in words; empty with their ends
};
struct Review {
  std::string formula;  // "" over all
  std::int64_t batches = 0;
  std::vector<ReviewRow> rows;
  std::vector<ReviewOutcome> outcomes = {};  // by the newest rating of each batch
  // Figures in which all batches of one outcome differ from all of the wanted one, in words; no
  // cause. Of one formula, with three rated batches or more.
  std::vector<std::string> went_with = {};
  std::vector<ReviewChart> charts = {};  // of one formula, with eight batches or more
};

}  // namespace maslin::proto
