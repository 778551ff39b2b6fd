// The tolerance report.
#include <cmath>
#include <cstdint>

#include "client/report_lines.hpp"
#include "client/show.hpp"
#include "client/text.hpp"
#include "proto/decimals.hpp"

namespace maslin::client {
namespace {

// "At 12 m; jars of 250 mL; vinegar of 5 % by its label; 5:00 min in the water bath by its row."
std::string made_at(const proto::Report& report) {
  std::string text =
      report.altitude_m ? "At " + number(*report.altitude_m, 0) + " m" : "Altitude not told";
  if (report.jar_ml > 0) text += "; jars of " + number(report.jar_ml, 0) + " mL";
  if (report.vinegar_pct)
    text += "; vinegar of " + number(*report.vinegar_pct, 2) + " % by its label";
  if (report.bath_ms > 0) {
    text += "; " + span_text(report.bath_ms) + " in the water bath by the source's row";
  }
  return text + ".";
}

// An amount without an indication has neither figure nor deviation; its row says so with dashes
// and stays, for what is missing must be seen.
void add_row(Table& table, const proto::ReportIngredient& ingredient) {
  std::string weighed = "-";
  std::string off = "-";
  if (ingredient.weighed_g) {
    const double expanded = ingredient.expanded_uncertainty_g.value_or(0);
    const int decimals = expanded > 0 ? proto::decimals_for(expanded) : 1;
    weighed = number(*ingredient.weighed_g, decimals);
    if (expanded > 0) weighed += " ± " + number(expanded, decimals > 0 ? decimals : 1);
    weighed += " g";
    if (ingredient.deviation_g) off = with_sign(*ingredient.deviation_g, decimals) + " g";
  }
  // What went in by measure had no figure to be held against.
  const bool by_measure = !ingredient.weighed_g && !ingredient.how.empty();
  table.row({ingredient.name, by_measure ? ingredient.amount : number(ingredient.aim_g, 2) + " g",
             by_measure
                 ? "-"
                 : number(ingredient.lower_g, 2) + " to " + number(ingredient.upper_g, 2) + " g",
             weighed, off, ingredient.verdict + (ingredient.critical ? ", critical" : ""),
             ingredient.how + (ingredient.amended.empty() ? "" : ", " + ingredient.amended)});
}

// "acid per low-acid food: 0.901 ± 0.004 (95 %), at least 0.8: kept"
std::vector<std::string> limits(const std::vector<proto::ReportRatio>& from) {
  std::vector<std::string> lines;
  for (const auto& ratio : from) {
    std::string text = ratio.of + " per " + ratio.per + ": ";
    if (ratio.achieved) {
      const int decimals = ratio.limit < 0.01 ? 5 : ratio.limit < 0.1 ? 4 : 3;
      text += fixed(*ratio.achieved, decimals);
      if (ratio.expanded_uncertainty) {
        text += " ± " + fixed(*ratio.expanded_uncertainty, decimals) + " (95 %)";
      }
      text += ", ";
    }
    text += (ratio.least ? "at least " : "at most ") + number(ratio.limit, 6) + ": ";
    text += ratio.verdict == "undecided"     ? "kept, but by less than its uncertainty"
            : ratio.verdict == "not weighed" ? "not confirmed by weight"
                                             : ratio.verdict;
    lines.push_back(text + ".");
  }
  return lines;
}

// "Into the refrigerator. 14 days: between 1.0 °C and 4.0 °C; measured ..."
std::vector<std::string> stand_lines(const std::vector<proto::ReportStand>& from) {
  std::vector<std::string> lines;
  for (const auto& row : from) {
    std::string text = row.phase;  // what dries has no time of its own
    if (row.time_ms > 0) text += " " + span_text(row.time_ms);
    if (!row.bounds.empty()) text += (row.time_ms > 0 ? ", " : " ") + row.bounds;
    text += ": ";
    if (row.evidence == "not measured") {
      lines.push_back(text + row.evidence + ".");
      continue;
    }
    if (row.coldest_c && row.warmest_c) {
      text += celsius(*row.coldest_c) + " to " + celsius(*row.warmest_c) + "; ";
    }
    if (!row.bounds.empty()) {
      text += span_text(row.inside_ms) + " inside, " + span_text(row.outside_ms) + " outside (" +
              span_text(row.outside_most_ms) + " allowed), " + span_text(row.unmeasured_ms) +
              " not measured, longest gap " + span_text(row.longest_gap_ms) + " (" +
              span_text(row.gap_most_ms) + " allowed); ";
    }
    text += row.evidence + (row.device.empty() ? "" : " by " + row.device);
    if (row.restarts > 0) {
      text += "; the daemon was started again " + std::to_string(row.restarts) +
              (row.restarts == 1 ? " time" : " times");
    }
    if (!row.done) text += "; not over";
    lines.push_back(text + ".");
  }
  return lines;
}

std::vector<std::string> nitrite_lines(const proto::ReportNitrite& nitrite) {
  return {number(nitrite.ppm, 0) + " ± " + number(nitrite.expanded_uncertainty_ppm, 0) +
          " ppm (95 %) of sodium nitrite, by a mix of " + number(nitrite.label_pct, 2) +
          " %; at most " + number(nitrite.most_ppm, 0) + " ppm (" + nitrite.product + ", " +
          nitrite.source + "): " + nitrite.verdict + "."};
}

// "1 day after: set good, heat right; a little loose at the rim"
std::vector<std::string> outcomes(const std::vector<proto::ReportEvent>& from) {
  constexpr std::int64_t day_ms = 86'400'000;
  std::vector<std::string> lines;
  for (const auto& event : from) {
    const std::int64_t days = event.from_ms / day_ms;
    lines.push_back((days == 0   ? span_text(event.from_ms)
                     : days == 1 ? "1 day"
                                 : std::to_string(days) + " days") +
                    " after: " + event.what + (event.detail.empty() ? "" : "; " + event.detail));
  }
  return lines;
}

}  // namespace

std::vector<std::string> event_lines(const std::vector<proto::ReportEvent>& from) {
  std::vector<std::string> lines;
  lines.reserve(from.size());
  for (const auto& event : from) {
    lines.push_back(clock_text(event.from_ms) + "  " + event.what +
                    (event.detail.empty() ? "" : "; " + event.detail));
  }
  return lines;
}

std::vector<std::string> finding_lines(const std::vector<proto::ReportFinding>& from) {
  std::vector<std::string> lines;
  for (const auto& one : from) {
    const bool ph = one.what == "equilibrium pH";
    const int decimals = ph ? 2 : one.what == "soluble solids" ? 1 : 0;
    const char* unit = ph                              ? ""
                       : one.what == "soluble solids"  ? " %"
                       : one.what == "mass in the pan" ? " g"
                                                       : " mL";
    lines.push_back(clock_text(one.from_ms) + "  " + one.what + ", " + one.by + ": " +
                    number(one.value, decimals) + " ± " +
                    number(one.expanded_uncertainty, decimals) + unit +
                    (one.limit > 0 ? ", limit " + number(one.limit, 2) : "") +
                    (one.jar > 0 ? ", jar " + std::to_string(one.jar) : "") +
                    (one.verdict.empty() ? "" : ": " + one.verdict) +
                    (one.detail.empty() ? "" : "; " + one.detail));
  }
  return lines;
}

std::vector<std::string> jar_lines(const std::vector<proto::JarGroup>& from) {
  std::vector<std::string> lines;
  lines.reserve(from.size());
  const auto day = [](const std::string& utc) { return moment_text(utc).substr(0, 10); };
  for (const auto& group : from) {
    const bool jar = group.unit == "jar";
    lines.push_back(
        (jar ? "" : group.unit + (group.jars.size() == 1 ? " " : "s ")) + numbers_text(group.jars) +
        (group.part_filled ? ", part-filled: " : ": ") + group.where + " since " +
        day(group.since_utc) + (group.why.empty() ? "" : ", " + group.why) +
        (group.until_utc.empty() ? "" : ", " + group.until_means + " " + day(group.until_utc)) +
        (group.todo.empty() ? "" : ". " + group.todo));
  }
  return lines;
}

std::string jars_word(const std::vector<proto::JarGroup>& groups) {
  return (groups.empty() ? std::string("jar") : groups.front().unit) + "s";
}

std::vector<std::string> hold_lines(const std::vector<proto::ReportHold>& from) {
  std::vector<std::string> lines;
  for (const auto& hold : from) {
    std::string text = clock_text(hold.from_ms) + "  " + hold.reason + ": " + hold.what;
    text += hold.lasted_ms
                ? " Ended after " + span_text(*hold.lasted_ms) +
                      // Who ended it ("the cook"), or how it ended ("accepted by the cook").
                      (hold.ended_by.starts_with("the ") ? " by " : ": ") + hold.ended_by + "."
                : " Not ended.";
    lines.push_back(std::move(text));
  }
  return lines;
}

std::string show(const proto::Report& report) {
  Page page;
  page.line(report.may_be_called);
  page.line(report.formula + ", times " + number(report.factor, 3) + "; batch " + report.batch +
            ", begun " + moment_text(report.started_utc) + ", " +
            (report.state.empty() ? "not begun" : report.state));
  page.line(made_at(report));
  if (!report.parent.empty()) page.line("Remake of batch " + report.parent + ".");
  for (const auto& child : report.remade) page.line("Batch " + child + " was made of it.");
  for (const auto& remark : report.remarks) page.line(remark);
  page.gap();
  Table table({"ingredient", ">aim", ">band", ">weighed (95 %)", ">off by", "verdict", "how"});
  for (const auto& ingredient : report.ingredients) add_row(table, ingredient);
  page.raw(table.text(2));
  page.list("Critical limits, in grams per gram", limits(report.ratios));

  if (!report.temperatures.empty()) {
    page.gap().line("Temperatures:");
    Table heat({"thermometer", ">least", ">mean", ">greatest", ">readings", "step"});
    for (const auto& row : report.temperatures) {
      heat.row({row.device, celsius(row.least_c), celsius(row.mean_c), celsius(row.greatest_c),
                std::to_string(row.readings), cut(clean(row.phase), 48)});
    }
    page.raw(heat.text(2));
  }
  if (report.nitrite) page.list("Nitrite that went in", nitrite_lines(*report.nitrite));
  page.list("While it stood or dried", stand_lines(report.stands));
  page.list("Heat and steps", event_lines(report.conditions));
  page.list("Measured of the product", finding_lines(report.findings));
  page.list("Holds", hold_lines(report.holds));
  page.list("Amended afterwards", event_lines(report.amendments));
  page.list("Where the " + jars_word(report.jars) + " are", jar_lines(report.jars));
  page.list("How it turned out, since it was complete", outcomes(report.outcomes));
  page.list("Deviations and what was done", event_lines(report.deviations));
  page.list("When a scale found its zero anew", event_lines(report.epochs));
  std::vector<std::string> cautions;
  for (const auto& caution : report.cautions) {
    cautions.push_back(caution.at + ": " + caution.text + " (" + caution.evidence + ")");
  }
  page.list("Cautions", cautions);
  page.gap().line("Record ends with " + report.chain + "; `maslin verify " + report.batch +
                  "` checks it.");
  return page.text();
}

}  // namespace maslin::client
