// The screens as a cook reads them. The relish is invented and was not tested for safety.
#include <gmock/gmock.h>

#include <sstream>

#include <set>

#include "client/big_digits.hpp"
#include "client/show.hpp"
#include "client/text.hpp"
#include "proto/cues.hpp"

namespace maslin::client {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

proto::Plan plan() {
  proto::Plan plan;
  plan.formula = "Lantern relish";
  plan.may_be_called = "Refrigerator only: own formula without a tested source.";
  plan.keeping = "refrigerator";
  plan.jars = "4 jars of 250 mL";
  plan.factor = 1.5;
  plan.largest_multiple = 2;
  plan.provisional = true;
  plan.lead = "onion";
  proto::PlannedIngredient onion;
  onion.name = "onion";
  onion.amount = "4 cups";
  onion.basis = "prepared";
  onion.lead = onion.critical = true;
  onion.check = "weigh";
  onion.aim_ug = 640'000'000;
  onion.lower_ug = 608'000'000;
  onion.upper_ug = 672'000'000;
  proto::PlannedIngredient pectin;
  pectin.name = "pectin";
  pectin.amount = "1/2 package";
  pectin.check = "by measure";
  pectin.reason = "too fine for this scale";
  onion.reason = "aims 3 g inside its limit";
  onion.nominal_ug = 643'000'000;
  plan.notes = {"pectin is taken by measure, 1/2 package: too fine for this scale."};
  plan.ingredients = {onion, pectin};
  plan.ratios = {{"acid", "low-acid food", true, 500'000, {}, {}}};
  plan.operations.resize(1);
  plan.operations[0].text = "Boil for ten minutes.";
  plan.cautions = {{"plan", "Vinegar 5 % or more by the label.", "published"}};
  return plan;
}

TEST(PlanScreen, BeginsWithWhatItMayBeCalledAndShowsTheKitchenMeasureAndGramsBesideIt) {
  const std::string text = show(plan());
  EXPECT_THAT(text, StartsWith("Refrigerator only: own formula without a tested source.\n"));
  EXPECT_THAT(text, HasSubstr("Lantern relish, times 1.5 (at most 2), 4 jars of 250 mL"));
  EXPECT_THAT(text, HasSubstr("Provisional: weigh the onion first, prepared"));
  EXPECT_THAT(text, ContainsRegex("4 cups +640 g  608 to 672 g"));
  auto grams_first = plan();
  grams_first.units = "grams";
  EXPECT_THAT(show(grams_first), HasSubstr("640 g  608 to 672 g  4 cups"));
  EXPECT_THAT(text, HasSubstr("critical, 3 g less than the kitchen measure"));
  EXPECT_THAT(text, HasSubstr("by measure"));
  EXPECT_THAT(text, HasSubstr("onion: aims 3 g inside its limit."));
  EXPECT_THAT(text, HasSubstr("1/2 package: too fine for this scale."));
  EXPECT_THAT(text, Not(HasSubstr("pectin: too fine"))) << "said once";
  EXPECT_THAT(text, HasSubstr("at least 0.5 g acid for each g of low-acid food"));
  EXPECT_THAT(text, HasSubstr("1. Boil for ten minutes."));
  EXPECT_THAT(text, HasSubstr("Vinegar 5 % or more by the label. (published)"));
}

TEST(ReportScreen, HasTheLineOfEveryIngredientWithUncertaintyAndVerdict) {
  proto::Report report;
  report.may_be_called = "Not finished (held): it may not be called anything yet.";
  report.formula = "Lantern relish";
  report.batch = "2026-11-25-1";
  report.state = "held";
  proto::ReportIngredient sugar;
  sugar.name = "sugar";
  sugar.aim_g = 200;
  sugar.lower_g = 190;
  sugar.upper_g = 210;
  sugar.weighed_g = 222;
  sugar.standard_uncertainty_g = 0.6;
  sugar.expanded_uncertainty_g = 1.1;
  sugar.deviation_g = 22;
  sugar.verdict = "over";
  sugar.how = "poured";
  proto::ReportIngredient salt;
  salt.name = "salt";
  salt.verdict = "not weighed";
  report.ingredients = {sugar, salt};
  report.holds = {{"device lost", "The scale is away.", 12'000, 7000, "the device"},
                  {"cook", "Held by the cook.", 30'000, std::nullopt, ""}};
  report.deviations = {{15'000, "sugar over: 222 g", "put right: 201 g"}};
  report.temperatures = {{"pan", "Boil.", 12, 20, 60, 101.5}};
  report.chain = "abcdef0123456789";
  report.ratios = {{"acid", "low-acid food", true, 0.8, 0.90071, 0.0041, "kept"},
                   {"water", "acid", false, 0.6, std::nullopt, std::nullopt, "not weighed"}};
  report.holds.push_back({"critical limit", "Too little.", 31'000, 2000, "accepted by the cook"});
  proto::ReportIngredient told = sugar;
  told.name = "vinegar";
  told.weighed_g = 400;
  told.standard_uncertainty_g = told.expanded_uncertainty_g = std::nullopt;
  told.how = "told by the cook";
  report.ingredients.push_back(told);
  const std::string text = show(report);
  EXPECT_THAT(text, ContainsRegex(" 400 g .*told by the cook"));
  EXPECT_THAT(text, StartsWith("Not finished (held)"));
  EXPECT_THAT(text, HasSubstr("222 ± 1.1 g"));
  EXPECT_THAT(text, HasSubstr("+22 g"));
  EXPECT_THAT(text, HasSubstr("over"));
  EXPECT_THAT(text, HasSubstr("not weighed"));
  EXPECT_THAT(text, HasSubstr("0:00:12  device lost: The scale is away. Ended after 7 s by the "
                              "device."));
  EXPECT_THAT(text, HasSubstr("Held by the cook. Not ended."));
  EXPECT_THAT(text, HasSubstr("Too little. Ended after 2 s: accepted by the cook."));
  EXPECT_THAT(text, HasSubstr("acid per low-acid food: 0.901 ± 0.004 (95 %), at least 0.8: kept."));
  EXPECT_THAT(text, HasSubstr("water per acid: at most 0.6: not confirmed by weight."));
  EXPECT_THAT(text, HasSubstr("0:00:15  sugar over: 222 g; put right: 201 g"));
  EXPECT_THAT(text, HasSubstr("101.5 °C"));
  EXPECT_THAT(text, HasSubstr("abcdef0123456789"));
}

TEST(DevicesScreen, ShowsWhatTheDeviceShowsAndTrustsNoLabel) {
  proto::DeviceState scale;
  scale.description.id = "1b2c:0007:A1";
  scale.description.label = "Nice\x1b[31mScale";
  scale.description.interval_ug = 100'000;
  scale.role = proto::Role::bench;
  scale.condition = "live";
  proto::Reading reading;
  reading.digits = 1820;
  reading.exponent = -1;
  reading.unit = proto::Unit::g;
  scale.last = reading;
  proto::DeviceState probe;
  probe.description.id = "hwmon:probe@1";
  probe.condition = "fault: wire open";
  reading.state = proto::state::fault_open;
  probe.last = reading;
  const std::string text = show(proto::DeviceList{
      {scale, probe}, {{"hid-scale", "running", "", 0}, {"trace", "missing", "no such file", 0}}});
  EXPECT_THAT(text, HasSubstr("182.0 g"));
  EXPECT_THAT(text, HasSubstr("no value"));
  EXPECT_THAT(text, HasSubstr("fault: wire open"));
  EXPECT_THAT(text, HasSubstr("Nice?[31mScale"));
  EXPECT_THAT(text, Not(HasSubstr("\x1b")));
  EXPECT_THAT(text, HasSubstr("trace: missing, no such file"));
  EXPECT_THAT(text, Not(HasSubstr("hid-scale: running")));
}

TEST(DevicesScreen, SaysWhatToDoWhereThereIsNoneOrNoneHasARole) {
  EXPECT_THAT(show(proto::DeviceList{}), HasSubstr("Plug the scale in"));
  proto::DeviceState calibrated;
  calibrated.role = proto::Role::bench;
  calibrated.calibration = proto::ScaleCalibration{
      .utc_ms = 1'795'564'800'000, .slope = 1.0022, .applied = true, .span_uncertainty = 0.0005};
  EXPECT_THAT(
      show(proto::DeviceList{{calibrated}, {}}),
      HasSubstr(
          "bench: 2026-11-25, shows 0.22 % too much, corrected in batches, known to ± 0.1 %"));
  proto::DeviceState scale;
  scale.description.id = "a";
  EXPECT_THAT(show(proto::DeviceList{{scale}, {}}), HasSubstr("maslin assign bench DEVICE"));
}

proto::DeviceState bench_scale(std::int64_t digits, std::int8_t exponent, proto::Unit unit) {
  proto::DeviceState scale;
  scale.description.id = "quay:bench:1";
  scale.description.interval_ug = 100'000;
  scale.description.period_ms = 200;
  scale.condition = "live";
  scale.last.emplace();
  scale.last->digits = digits;
  scale.last->exponent = exponent;
  scale.last->unit = unit;
  return scale;
}

TEST(DevicesScreen, TellsWhatMovesFromWhatIsSettledAndFromWhatHasNotSpoken) {
  auto scale = bench_scale(1820, -1, proto::Unit::g);
  EXPECT_THAT(show(proto::DeviceList{{scale}, {}}), Not(HasSubstr("live,")));
  scale.last->state = proto::state::moving;
  scale.condition = "live, 3 readings with a wrong time";
  EXPECT_THAT(show(proto::DeviceList{{scale}, {}}),
              HasSubstr("live, moving, 3 readings with a wrong time"));
  scale.condition = "live";
  scale.last.reset();
  EXPECT_THAT(show(proto::DeviceList{{scale}, {}}), HasSubstr("waiting"));
  scale.description.period_ms = 0;  // a pedal that nobody has pressed is as it should be
  EXPECT_THAT(show(proto::DeviceList{{scale}, {}}), HasSubstr("live"));
}

TEST(DevicesScreen, ShowsNoStepInGramsBesideOunces) {
  EXPECT_THAT(show(proto::DeviceList{{bench_scale(1820, -1, proto::Unit::g)}, {}}),
              HasSubstr("0.1 g"));
  const auto text = show(proto::DeviceList{{bench_scale(4350, -3, proto::Unit::oz)}, {}});
  EXPECT_THAT(text, HasSubstr("4.350 oz"));
  EXPECT_THAT(text, Not(HasSubstr("0.1 g")));
}

TEST(DevicesScreen, SaysWhichAbsentDeviceKeepsARole) {
  proto::DeviceState away;
  away.description.id = "quay:bench:9";
  away.role = proto::Role::bench;
  away.condition = "not there";
  const auto text = show(proto::DeviceList{{bench_scale(1820, -1, proto::Unit::g), away}, {}});
  EXPECT_THAT(text, HasSubstr("The bench is quay:bench:9, which is not there."));
  EXPECT_THAT(text, HasSubstr("maslin assign bench quay:bench:1"));
  EXPECT_THAT(show(proto::DeviceList{{away}, {}}), Not(HasSubstr("instead")));
}

TEST(DevicesScreen, NamesThePluginThatFailsBeforeItAsksForAScale) {
  const auto text = show(proto::DeviceList{{}, {{"hid-scale", "missing", "no file", 0}}});
  EXPECT_LT(text.find("hid-scale: missing, no file"), text.find("Plug the scale in"));
  EXPECT_THAT(show(proto::DeviceList{{}, {{"a", "running", "cannot see the bus", 0}}}),
              HasSubstr("a: running, cannot see the bus"));
  EXPECT_THAT(show(proto::DeviceList{{}, {{"a", "running", "", 1}}}), HasSubstr("again once"));
  EXPECT_THAT(show(proto::DeviceList{{}, {{"a", "running", "", 2}}}), HasSubstr("again 2 times"));
}

TEST(StatusScreen, SaysHowItStandsAndWhatEndsAHold) {
  proto::BatchStatus status;
  EXPECT_THAT(show(status), HasSubstr("maslin start FORMULA"));
  status.batch = "2026-11-25-1";
  status.formula = "Lantern relish";
  status.state = "held";
  status.hold = "The scale is away.";
  status.hold_ends_when = "It ends by itself when the scale answers again.";
  status.hold_pan = "Heat off, stir.";
  status.ingredient = "sugar";
  status.aim_g = 200;
  status.lower_g = 190;
  status.upper_g = 210;
  status.net_g = 120.4;
  const std::string text = show(status);
  EXPECT_THAT(text, HasSubstr("Held: The scale is away."));
  EXPECT_THAT(text, HasSubstr("The pan now: Heat off, stir."));
  EXPECT_THAT(text, HasSubstr("sugar: 120.4 g and moving, aim 200 g, band 190 to 210 g"));
}

TEST(SmallScreens, AreShortAndSayWhatToDoNext) {
  EXPECT_THAT(show(proto::BatchList{}), HasSubstr("no batch yet"));
  EXPECT_THAT(show(proto::Review{}), HasSubstr("no finished batch"));
  proto::Review review{"Lantern relish", 3, {{"sugar", 3, 2, 6, 1, 8, 2.0 / 3.0}}};
  EXPECT_THAT(show(review), HasSubstr("+2 g"));
  EXPECT_THAT(show(review), HasSubstr("67 %"));
  EXPECT_THAT(show(proto::Settings{}), HasSubstr("maslin settings --altitude"));
  proto::Settings settings;
  settings.altitude_m = 640;
  EXPECT_THAT(show(settings), HasSubstr("640 m"));
  EXPECT_EQ(show(proto::FormulaChecked{"Lantern relish", true, {}}, "l.toml"),
            "l.toml: can be read, Lantern relish; that says nothing of its safety\n");
  EXPECT_EQ(show(
                proto::FormulaChecked{
                    "", false, {{"unknown key 'amout'", "l.toml:3:1", "write 'amount'"}}},
                "l.toml"),
            "l.toml:3:1: unknown key 'amout'; write 'amount'\n1 thing to mend.\n");
  EXPECT_THAT(show(proto::Verified{"b", "same", "", 0, 4, 10}), HasSubstr("b: same (4 entries"));
  EXPECT_EQ(show(proto::Verified{"b", "altered", "", 1, 0, 0}), "Batch b: altered\n");
}

TEST(Screens, StatusSaysWhatIsLeftOfWhatDriesAndWhenItIsReady) {
  proto::BatchStatus status;
  status.state = "running";
  status.phase = "dry";
  status.at_ms = 1'000'000;
  status.to_weight.emplace();
  status.to_weight->net_g = 412;
  status.to_weight->begin_g = 1000;
  status.to_weight->target_g = 180.5;
  status.to_weight->lost_pct = 58.8;
  status.to_weight->water_pct = 65;
  EXPECT_THAT(show(status), HasSubstr("412 g of 1000 g left, 59 % lost, about 65 % water in it"));
  status.to_weight->ready_ms = status.at_ms + 5 * 3'600'000;
  status.to_weight->ready_from_ms = status.at_ms + 4 * 3'600'000;
  status.to_weight->ready_to_ms = status.at_ms + 9 * 3'600'000 + 5'000;
  EXPECT_THAT(show(status), HasSubstr("Foretold in 5 h, likely between 4 h and 9 h"));
}

TEST(StatusScreen, SaysWhatTheBatchMayBeCalledAndTheCautionOfTheStep) {
  proto::BatchStatus status;
  status.state = "running";
  status.ingredient = "table salt";
  status.by_measure = "1 tbsp";
  status.aim_g = 18;
  status.may_be_called = "Refrigerator batch, not for the shelf.";
  status.caution = "Put nothing hot on the scale.";
  status.notes = {"The altitude is not known."};
  EXPECT_THAT(show(status), HasSubstr("Refrigerator batch, not for the shelf.\n"));
  EXPECT_THAT(show(status), HasSubstr("Caution: Put nothing hot on the scale.\n"));
  EXPECT_THAT(show(status), HasSubstr("table salt, by measure: 1 tbsp\n"));
  EXPECT_THAT(show(status), Not(HasSubstr("aim")));
  EXPECT_THAT(show_notes(status), HasSubstr("Notes:\n  The altitude is not known.\n"));
}

TEST(BigDigits, AreFiveLinesOfEqualWidth) {
  const auto rows = big("-12.5");
  ASSERT_EQ(rows.size(), kBigRows);
  for (const auto& row : rows) EXPECT_EQ(width(row), width(rows.front()));
  std::set<std::vector<std::string>> shapes;
  for (char digit = '0'; digit <= '9'; ++digit) shapes.insert(big(std::string(1, digit)));
  EXPECT_EQ(shapes.size(), 10U) << "no two digits look the same";
}

TEST(CuesScreen, ListsTheWholeCatalogueTheUrgentFirst) {
  const std::string screen = show_cues();
  for (const auto& kind : proto::cue_catalogue()) {
    EXPECT_THAT(screen, HasSubstr(" " + std::string(kind.id) + " "));
  }
  EXPECT_LT(screen.find(" stop "), screen.find(" good "));
  const auto json = proto::cue_catalogue_json();
  EXPECT_THAT(
      json,
      HasSubstr(
          R"({"id":"stop","means":"stop pouring now; again while the pour goes on","tone":"one long","unanswered":"once","urgency":4})"));
}

TEST(ReviewScreen, TellsHowBatchesTurnedOutAndWhatWentWithIt) {
  proto::Review review;
  review.formula = "Lantern relish";
  review.batches = 3;
  review.rows.resize(1);
  review.outcomes = {{"set", "soft", 1}, {"set", "good", 2}, {"heat", "right", 3}};
  review.went_with = {"time at the boil: set soft, 1 batch, 9 min; set good, 2 batches, 1 min."};
  const std::string text = show(review);
  EXPECT_THAT(text, HasSubstr("set: soft 1 batch, good 2 batches"));
  EXPECT_THAT(text, HasSubstr("heat: right 3 batches"));
  EXPECT_THAT(text, HasSubstr("tell no cause"));
  EXPECT_THAT(text, HasSubstr("time at the boil"));
}

TEST(ReviewScreen, ShowsWhatTheBatchesDoAndWhichStandOut) {
  proto::Review review;
  review.formula = "Lantern relish";
  review.batches = 9;
  review.rows.resize(1);
  EXPECT_THAT(show(review), HasSubstr("from eight batches on"));
  review.formula = "";
  EXPECT_THAT(show(review), HasSubstr("maslin review FORMULA"));
  review.formula = "Lantern relish";
  proto::ReviewChart sugar;
  sugar.figure = "sugar";
  sugar.unit = "% off its aim";
  sugar.count = 9;
  sugar.mean = 0.25;
  sugar.lower = -1.2;
  sugar.upper = 1.4;
  sugar.expected = "sugar: nine batches of ten from -1 to +1.2 %.";
  review.charts = {sugar};
  EXPECT_THAT(show(review), HasSubstr("-1.2 to 1.4"));
  EXPECT_THAT(show(review), HasSubstr("No batch stands out."));
  EXPECT_THAT(show(review), HasSubstr("nine batches of ten"));
  EXPECT_THAT(show(review), HasSubstr("not what is safe"));
  review.charts.push_back(sugar);
  review.charts[1].figure = "time at the boil";
  review.charts[1].mean = review.charts[1].lower = review.charts[1].upper = 10;
  EXPECT_THAT(show(review), Not(HasSubstr("time at the boil"))) << "it does not vary";
  review.charts[0].outside = {{"b7", 3.1}};
  review.charts[0].lines = {"b7: sugar 3.1 % over its aim, outside what the other batches do."};
  EXPECT_THAT(show(review), HasSubstr("What stands out:\n  b7: sugar 3.1 % over"));
}

TEST(JarsScreen, ShowsWhatIsDueThenTheJarsThenWhatToDoWithThem) {
  setenv("TZ", "UTC", 1);
  proto::JarList list;
  list.todo = {
      {"2026-11-25-1", "Look at the seals, then: maslin seals", "2026-11-26T09:30:00Z", true}};
  proto::JarGroup given;
  given.batch = "2026-11-25-1";
  given.formula = "Lantern relish";
  given.jars = {1, 2, 3};
  given.size = "250 mL";
  given.where = "given";
  given.since_utc = "2026-12-01T10:00:00Z";
  given.until_utc = "2027-11-25T10:00:00Z";
  given.until_means = "best before";
  given.basis = "the guide: a year";
  given.whom = "the lighthouse\x1b[31m keeper";
  proto::JarGroup cold = given;
  cold.jars = {4};
  cold.part_filled = cold.past = true;
  cold.where = "refrigerator";
  cold.whom = "";
  cold.until_means = "use by";
  cold.todo = "Past its date.";
  list.jars = {cold, given};
  const std::string text = show(list);
  EXPECT_THAT(text, HasSubstr("late, since 2026-11-26, batch 2026-11-25-1: Look at the seals"));
  EXPECT_THAT(text, HasSubstr("4, part-filled"));
  EXPECT_THAT(text, HasSubstr("use by 2027-11-25, PAST"));
  EXPECT_THAT(text, HasSubstr("2026-11-25-1 4: Past its date."));
  EXPECT_THAT(text, HasSubstr("1-3"));
  EXPECT_THAT(text, HasSubstr("given to the lighthouse?[31m keeper"));
  EXPECT_THAT(text, HasSubstr("best before: the guide: a year"));
  EXPECT_LT(text.find("Look at the seals"), text.find("Lantern relish"));
  given.where = "discarded";
  given.why = "cold chain broken";
  list.jars = {given};
  EXPECT_THAT(show(list), HasSubstr("2026-11-25-1 1-3: cold chain broken."));
  EXPECT_THAT(show(proto::JarList{}), HasSubstr("no such jars"));
  EXPECT_THAT(show(proto::JarList{}), HasSubstr("--all"));
  given.where = "given";
  given.whom = "to the harbour office";
  list.jars = {given};
  EXPECT_THAT(show(list), HasSubstr("given to the harbour office"));
}

// It is printed on paper: no line is wider than a page, also where no terminal says how wide it is.
TEST(RecordScreen, FitsAPage) {
  proto::SafetyRecord record;
  record.limits.push_back({"temperature while it stands, 14 days",
                           "between 1.0 °C and 5.0 °C, outside at most 2 h, no gap over 12 h",
                           "2.4 to 3.8 °C; 14 days inside, 0 s outside, 0 s not measured",
                           "measured", "room", "kept", ""});
  std::istringstream lines(show(record));
  for (std::string line; std::getline(lines, line);) EXPECT_LE(width(line), 96u) << line;
}

}  // namespace
}  // namespace maslin::client
