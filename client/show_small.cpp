// The small screens: status, batches, review, cues, settings, check, verify, troubles.
#include <algorithm>
#include <cstdio>
#include <vector>

#include "client/show.hpp"
#include "client/text.hpp"
#include "proto/cues.hpp"

namespace maslin::client {
namespace {

void show_weight(Page& page, const proto::ToWeight& weight, std::int64_t at_ms) {
  page.line("Drying: " + grams(weight.net_g) + " of " + grams(weight.begin_g) + " left, " +
            number(weight.lost_pct, 0) + " % lost" +
            (weight.water_pct ? ", about " + number(*weight.water_pct, 0) + " % water in it" : "") +
            "; dry at " + grams(weight.target_g));
  if (!weight.ready_ms || !weight.ready_from_ms || !weight.ready_to_ms) return;
  const auto from_now = [&](std::int64_t ms) {
    constexpr std::int64_t minute_ms = 60'000;
    return span_text(std::max<std::int64_t>(0, (ms - at_ms) / minute_ms * minute_ms));
  };
  page.line("Foretold in " + from_now(*weight.ready_ms) + ", likely between " +
                from_now(*weight.ready_from_ms) + " and " + from_now(*weight.ready_to_ms),
            2);
}

}  // namespace

std::string show(const proto::BatchStatus& status) {
  Page page;
  if (status.state.empty()) {
    return page.line("No batch runs. Start one: maslin start FORMULA").text();
  }
  page.line(
      status.formula + ", batch " + status.batch + ": " + status.state +
      (status.at_ms > status.since_ms ? ", " + clock_text(status.at_ms - status.since_ms) : ""));
  if (!status.may_be_called.empty()) page.line(status.may_be_called);
  if (!status.hold.empty()) {
    page.line("Held: " + status.hold);
    if (!status.hold_ends_when.empty()) page.line(status.hold_ends_when, 2);
    if (!status.hold_pan.empty()) page.line("The pan now: " + status.hold_pan, 2);
  }
  if (!status.by_measure.empty()) {
    page.line(status.ingredient + ", by measure: " + status.by_measure);
  } else if (!status.ingredient.empty()) {
    page.line(status.ingredient + ": " +
              (status.net_g ? grams(*status.net_g) + (status.at_rest ? "" : " and moving")
                            : "nothing yet") +
              (status.aim_g > 0 ? ", aim " + grams(status.aim_g) + ", band " +
                                      number(status.lower_g, 2) + " to " + grams(status.upper_g)
                                : ""));
  } else if (!status.phase.empty()) {
    page.line("Now: " + status.phase);
  }
  if (!status.caution.empty()) page.line("Caution: " + status.caution);
  if (status.left_ms) {
    page.line("To go: " + span_text(*status.left_ms) +
              (status.ready_on.empty() ? "" : ", until about " + status.ready_on));
  }
  if (status.inside_ms && status.outside_ms && status.unmeasured_ms) {
    page.line("Where it stands: " + (status.room_c ? celsius(*status.room_c) + ", " : "") +
              "so far " + span_text(*status.inside_ms) + " inside its bounds, " +
              span_text(*status.outside_ms) + " outside, " + span_text(*status.unmeasured_ms) +
              " not measured");
  }
  if (status.to_weight) show_weight(page, *status.to_weight, status.at_ms);
  if (status.boil_from_s && status.boil_to_s) {
    const auto span = [](double s) { return span_text(static_cast<std::int64_t>(s) * 1000); };
    page.line("To the boil: " + span(*status.boil_from_s) + " to " + span(*status.boil_to_s));
  }
  if (status.pan_c) page.line("Pan: " + celsius(*status.pan_c));
  if (status.canner_c) page.line("Canner: " + celsius(*status.canner_c));
  if (!status.last_cue.empty()) page.line("Said last: " + status.last_cue);
  if (!status.offer.empty()) {
    page.line("Offered: " + status.offer + "; maslin ok takes it, maslin no asks for another way");
  }
  if (!status.next.empty()) page.line("Next: " + status.next);
  page.list("After your last word", status.advice);
  return page.text();
}

std::string show_notes(const proto::BatchStatus& status) {
  return Page().list("Notes", status.notes).text();
}

std::string show(const proto::BatchList& list) {
  if (list.batches.empty()) {
    return Page().line("There is no batch yet. Start one: maslin start FORMULA").text();
  }
  Table table({"batch", "state", "begun", "formula"});
  for (const auto& batch : list.batches) {
    std::string formula = batch.formula;
    if (!batch.parent.empty()) formula += ", remake of " + batch.parent;
    for (const auto& child : batch.remade) formula += ", remade as " + child;
    table.row({batch.batch, batch.state, moment_text(batch.started_utc), formula});
  }
  return table.text();
}

namespace {

void show_charts(Page& page, const std::vector<proto::ReviewChart>& charts) {
  if (charts.empty()) return;
  page.gap().line("What these batches do:");
  Table table({"figure", ">batches", ">mean", ">limits", "in", ">outside"});
  std::vector<std::string> stands_out;
  std::vector<std::string> expected;
  for (const auto& chart : charts) {
    const auto text = [&](double value) { return number(value, static_cast<int>(chart.decimals)); };
    const bool varies = text(chart.lower) != text(chart.upper);
    if (!varies && chart.outside.empty()) continue;  // one figure thrice says nothing
    table.row({chart.figure, std::to_string(chart.count), text(chart.mean),
               text(chart.lower) + " to " + text(chart.upper), chart.unit,
               chart.outside.empty() ? "-" : std::to_string(chart.outside.size())});
    stands_out.insert(stands_out.end(), chart.lines.begin(), chart.lines.end());
    if (!chart.expected.empty()) expected.push_back(chart.expected);
  }
  if (!table.empty()) page.raw(table.text(2));
  page.list("What stands out", stands_out);
  if (stands_out.empty()) page.gap().line("No batch stands out.");
  page.list("What to expect while they scatter as they did, with 95 % confidence", expected);
  page.gap().line(
      "Limits: three standard deviations about the mean, by the steps from batch to batch. A batch "
      "is named further out, where of batches in order one is once in a hundred such rows. All "
      "this says what batches do, not what is safe: each is judged by its own weights.");
}

}  // namespace

std::string show(const proto::Review& review) {
  Page page;
  if (review.rows.empty()) {
    return page
        .line("There is no finished batch" +
              (review.formula.empty() ? std::string() : " of " + review.formula) +
              " to look back on yet.")
        .text();
  }
  page.line((review.formula.empty() ? "All formulas" : review.formula) + ", " +
            std::to_string(review.batches) + (review.batches == 1 ? " batch" : " batches"));
  Table table({"ingredient", ">weighings", ">off by, mean", ">spread", ">worst", ">within band"});
  for (const auto& row : review.rows) {
    table.row(
        {row.ingredient, std::to_string(row.count),
         with_sign(row.mean_deviation_g, 2) + " g, " + with_sign(row.mean_deviation_pct, 1) + " %",
         row.count > 1 ? number(row.spread_g, 2) + " g" : "-", with_sign(row.worst_g, 2) + " g",
         number(100 * row.share_within, 0) + " %"});
  }
  page.raw(table.text(2));
  std::vector<std::string> turned_out;
  for (const auto& one : review.outcomes) {
    const std::string count =
        one.how + " " + std::to_string(one.count) + (one.count == 1 ? " batch" : " batches");
    const std::string head = one.what + ": ";
    if (!turned_out.empty() && turned_out.back().starts_with(head)) {
      turned_out.back() += ", " + count;
    } else {
      turned_out.push_back(head + count);
    }
  }
  page.list("How they turned out, by the newest rating of each", turned_out);
  page.list("What went with it; so few batches tell no cause", review.went_with);
  show_charts(page, review.charts);
  if (review.charts.empty()) {
    page.gap().line(review.formula.empty()
                        ? "What is usual is said of one formula: maslin review FORMULA"
                        : "What is usual can be said from eight batches on.");
  }
  return page.text();
}

std::string show_cues() {
  const auto catalogue = proto::cue_catalogue();
  std::vector<proto::CueKind> kinds(catalogue.begin(), catalogue.end());
  std::stable_sort(kinds.begin(), kinds.end(),
                   [](const auto& a, const auto& b) { return a.urgency > b.urgency; });
  Table table({">urgency", "cue", "tone", "unanswered", "said when"});
  for (const auto& kind : kinds) {
    table.row({std::to_string(kind.urgency), std::string(kind.id),
               kind.tone.empty() ? "-" : std::string(kind.tone), proto::unanswered_text(kind),
               std::string(kind.means)});
  }
  return Page()
      .line(
          "Urgency 4: now. 3: soon. 2: next. 1: once, quietly. Said again, a cue gains one, up to "
          "3; what stands unanswered stays on the screen of maslin follow.")
      .gap()
      .raw(table.text())
      .text();
}

namespace {

// "22:00 to 07:00"; minutes of the day.
std::string hours(std::int64_t from_min, std::int64_t to_min) {
  if (from_min == to_min) return "none";
  const auto of_day = [](std::int64_t minute) {
    char text[32];
    std::snprintf(text, sizeof text, "%02lld:%02lld", static_cast<long long>(minute / 60),
                  static_cast<long long>(minute % 60));
    return std::string(text);
  };
  return of_day(from_min) + " to " + of_day(to_min);
}

}  // namespace

std::string show(const proto::Settings& settings) {
  Table table({"setting", "value", "what it is"});
  table.row({"altitude", settings.altitude_m ? number(*settings.altitude_m, 1) + " m" : "not set",
             "of the kitchen above the sea; decides boiling point and time in the bath"});
  table.row({"spread", number(100 * settings.usual_spread, 2) + " %",
             "usual spread of your pours; keeps critical aims inside their limits"});
  table.row({"waking", hours(settings.waking_from_min, settings.waking_to_min),
             "when you may be asked about the seals"});
  table.row({"scale-lag", number(settings.scale_lag_s, 2) + " s", "how far the display lags"});
  table.row(
      {"reaction", number(settings.reaction_s, 2) + " s", "yours, from the tone to the hand"});
  table.row({"cue-delay", number(settings.cue_delay_s, 2) + " s", "until the tone is heard"});
  table.row({"units", settings.units, "which come first: kitchen (cups and spoons) or grams"});
  table.row({"quiet", settings.quiet ? "on" : "off",
             "light and text only, but for what cannot wait a second"});
  table.row({"quiet-hours", hours(settings.quiet_from_min, settings.quiet_to_min),
             "the same every day between these"});
  return Page().raw(table.text()).text() +
         (settings.altitude_m ? ""
                              : "No shelf bath without the altitude: maslin settings --altitude "
                                "\"METRES m\"\n");
}

std::string show(const proto::FormulaChecked& checked, const std::string& file) {
  Page page;
  if (checked.good) {
    return page.line(file + ": can be read, " + checked.name + "; that says nothing of its safety")
        .text();
  }
  page.raw(show(checked.troubles));
  return page
      .line(std::to_string(checked.troubles.size()) +
            (checked.troubles.size() == 1 ? " thing" : " things") + " to mend.")
      .text();
}

std::string show(const proto::Verified& verified) {
  Page page;
  // Of an altered record nothing was counted.
  page.line("Batch " + verified.batch + ": " + verified.answer +
            (verified.answer == "altered" ? ""
                                          : " (" + std::to_string(verified.entries) + " entries, " +
                                                std::to_string(verified.readings) + " readings)"));
  if (!verified.detail.empty()) page.line(verified.detail, 2);
  return page.text();
}

std::string show(const proto::Troubles& troubles) {
  std::string text;
  // Not wrapped: what is to be typed or searched for must stay in one piece.
  for (const auto& trouble : troubles) text += clean(proto::line(trouble)) + "\n";
  return text;
}

std::string show(const proto::RpcFault& fault, bool json) {
  return json ? proto::fault_text(fault) + "\n" : show(fault.troubles);
}

}  // namespace maslin::client
