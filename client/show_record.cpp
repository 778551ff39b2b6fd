// The safety record, one page of plain text for whoever inspects: what had to hold, what was found,
// and what was not measured, in one table.
#include "client/report_lines.hpp"
#include "client/show.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

void head(Page& page, const proto::SafetyRecord& record) {
  page.line("Safety record of batch " + record.batch + ": " + record.product);
  page.line(record.may_be_called);
  page.line("Formula: " + (record.source.empty() ? "own, cites no tested source" : record.source) +
            "; its text has SHA-256 " + record.formula_sha256.substr(0, 16));
  page.line("Made " + record.started_utc +
            (record.started_local.empty()
                 ? ""
                 : ", " + record.started_local + " by the clock of the kitchen") +
            "; last entry " + record.ended_utc + "; " + record.state);
  page.line(std::string("Altitude ") +
            (record.altitude_m ? number(*record.altitude_m, 0) + " m" : "not told") +
            "; kept: " + record.keeping +
            ". Made by: " + (record.cook.empty() ? "____________________" : record.cook));
}

}  // namespace

std::string show(const proto::SafetyRecord& record) {
  Page page;
  head(page, record);
  page.gap();
  Table limits({"critical limit", "asked", "found", "how", "on", "verdict"});
  for (const auto& one : record.limits) {
    limits.row({one.what, one.limit, one.found.empty() ? "-" : one.found, one.how,
                one.device.empty() ? "-" : one.device, one.verdict});
  }
  page.raw(limits.text(2, true));
  Table devices({"device", "identity", "interval", "calibration"});
  for (const auto& one : record.devices) {
    devices.row({one.role, one.id, one.interval.empty() ? "-" : one.interval, one.calibration});
  }
  if (!record.devices.empty()) {
    page.gap().raw(devices.text(2, true));
  } else {
    page.gap().line("No device was used: nothing was measured.");
  }
  page.list("Deviations and corrective actions", event_lines(record.deviations));
  page.list("Holds", hold_lines(record.holds));
  page.list("Amended afterwards", event_lines(record.amendments));
  page.list("Disposition of the " + jars_word(record.jars), jar_lines(record.jars));
  page.gap().line(
      "Record ends with " + record.chain + "; `maslin verify " + record.batch +
      "` checks it. This page judges nothing: a tested formula, local rules and a process "
      "authority do.");
  return page.text();
}

}  // namespace maslin::client
