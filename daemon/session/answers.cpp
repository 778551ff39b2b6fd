// The answers of answers.hpp over a Reader.
#include "daemon/session/answers.hpp"

#include <algorithm>

#include "daemon/quantity/times.hpp"
#include "daemon/review/jars.hpp"
#include "daemon/review/review.hpp"
#include "daemon/review/why.hpp"
#include "daemon/session/rerun.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

// A page of lines stays well under the longest message, also when every quote is escaped.
constexpr std::size_t page_bytes = 256 * 1024;

// What review/ reads: entries as facts, and the readings.
struct Facts {
  store::BatchRow row;
  std::vector<proto::Entry> entries;
  std::vector<proto::Reading> readings;
};

proto::Result<store::BatchRecord> load(store::Reader& reader, const std::string& batch) {
  const auto row = reader.find(batch);
  if (!row) return tl::unexpected<proto::Trouble>(row.error());
  return reader.load(row->id);
}

proto::Result<Facts> facts_of(store::Reader& reader, const std::string& batch) {
  auto record = load(reader, batch);
  if (!record) return tl::unexpected<proto::Trouble>(record.error());
  Facts facts{std::move(record->row), {}, std::move(record->readings)};
  facts.entries.reserve(record->entries.size());
  for (const auto& row : record->entries) {
    auto entry = proto::read_entry(row.text);
    if (entry) facts.entries.push_back(std::move(*entry));  // one of a newer kind is passed over
  }
  return facts;
}

proto::Lines page_of(const Facts& facts, std::vector<std::string> lines, std::int64_t from) {
  proto::Lines page;
  page.batch = facts.row.name;
  std::size_t bytes = 0;
  auto at = static_cast<std::size_t>(
      std::clamp<std::int64_t>(from, 0, static_cast<std::int64_t>(lines.size())));
  for (; at < lines.size() && bytes < page_bytes; ++at) {
    bytes += lines[at].size();
    page.lines.push_back(std::move(lines[at]));
  }
  page.next_line = at < lines.size() ? static_cast<std::int64_t>(at) : -1;
  return page;
}

// Which batch was made of which, the older first.
struct Made {
  std::string batch;
  std::string parent;
};
proto::Result<std::vector<Made>> made_of_others(store::Reader& reader) {
  const auto starts = reader.made_of_others();
  if (!starts) return tl::unexpected<proto::Trouble>(starts.error());
  std::vector<Made> made;
  for (const auto& [batch, text] : *starts) {
    const auto entry = proto::read_entry(text);
    if (!entry || !entry->is_input()) continue;
    const auto* start = std::get_if<proto::Start>(&std::get<proto::Input>(entry->body));
    if (start != nullptr && !start->request.parent.empty()) {
      made.push_back({batch, start->request.parent});
    }
  }
  return made;
}

proto::Report report_from(const Facts& facts) {
  return review::report(facts.entries, facts.readings, facts.row.last_hash);
}

}  // namespace

proto::Result<proto::Report> report_of(store::Reader& reader, const std::string& batch) {
  const auto facts = facts_of(reader, batch);
  if (!facts) return tl::unexpected<proto::Trouble>(facts.error());
  const auto made = made_of_others(reader);
  if (!made) return tl::unexpected<proto::Trouble>(made.error());
  auto report = report_from(*facts);
  for (const auto& one : *made) {
    if (one.parent == facts->row.name) report.remade.push_back(one.batch);
  }
  return report;
}

proto::Result<proto::SafetyRecord> safety_record_of(store::Reader& reader,
                                                    const std::string& batch) {
  const auto facts = facts_of(reader, batch);
  if (!facts) return tl::unexpected<proto::Trouble>(facts.error());
  return review::safety_record(facts->entries, facts->readings, facts->row.last_hash);
}

proto::Result<proto::Why> why_of(store::Reader& reader, const proto::WhyRequest& request) {
  const auto facts = facts_of(reader, request.batch);
  if (!facts) return tl::unexpected<proto::Trouble>(facts.error());
  return review::why(facts->entries, request.ingredient);
}

proto::Result<proto::Lines> log_of(store::Reader& reader, const proto::LinesRequest& request) {
  const auto facts = facts_of(reader, request.batch);
  if (!facts) return tl::unexpected<proto::Trouble>(facts.error());
  return page_of(*facts, review::diary(facts->entries), request.from_line);
}

proto::Result<proto::Lines> export_of(store::Reader& reader, const proto::LinesRequest& request) {
  const auto facts = facts_of(reader, request.batch);
  if (!facts) return tl::unexpected<proto::Trouble>(facts.error());
  return page_of(*facts, review::table(facts->entries, facts->readings), request.from_line);
}

proto::Result<proto::Verified> verify(store::Reader& reader, const std::string& batch) {
  const auto row = reader.find(batch);
  if (!row) return tl::unexpected<proto::Trouble>(row.error());
  proto::Verified altered;
  altered.batch = row->name;
  altered.answer = "altered";
  altered.exit_code = 1;
  if (const auto intact = reader.check_intact(row->id); !intact) {
    altered.detail = proto::line(intact.error());
    return altered;
  }
  const auto record = reader.load(row->id);
  if (!record) {
    altered.detail = proto::line(record.error());
    return altered;
  }
  return verified(*record, rerun(*record));
}

proto::Result<proto::Review> review_of(store::Reader& reader, const std::string& formula) {
  const auto rows = reader.batches();
  if (!rows) return tl::unexpected<proto::Trouble>(rows.error());
  std::vector<proto::Report> reports;
  for (auto row = rows->rbegin(); row != rows->rend(); ++row) {
    if (row->state != "complete" || (!formula.empty() && row->formula != formula)) continue;
    const auto facts = facts_of(reader, row->name);
    if (!facts) return tl::unexpected<proto::Trouble>(facts.error());
    reports.push_back(report_from(*facts));
  }
  return review::review(reports, formula);
}

proto::Result<proto::BatchList> batches_of(store::Reader& reader) {
  const auto rows = reader.batches();
  if (!rows) return tl::unexpected<proto::Trouble>(rows.error());
  const auto made = made_of_others(reader);
  if (!made) return tl::unexpected<proto::Trouble>(made.error());
  proto::BatchList list;
  for (const auto& row : *rows) {
    proto::BatchSummary one{
        row.name, row.formula, row.state, quantity::utc_text(row.started_utc_ms), "", {}};
    for (const auto& [batch, parent] : *made) {
      if (batch == row.name) one.parent = parent;
      if (parent == row.name) one.remade.push_back(batch);
    }
    list.batches.push_back(std::move(one));
  }
  return list;
}

proto::Result<proto::JarList> jars_of(store::Reader& reader, const proto::JarListRequest& request,
                                      std::int64_t now_utc_ms) {
  review::JarQuestion question{request.batch, request.lot, request.all, request.names, now_utc_ms};
  if (!request.batch.empty()) {
    const auto row = reader.find(request.batch);
    if (!row) return tl::unexpected<proto::Trouble>(row.error());
    question.batch = row->name;
    question.all = true;
  }
  const auto rows = reader.batches();
  if (!rows) return tl::unexpected<proto::Trouble>(rows.error());
  std::vector<std::vector<proto::Entry>> batches;
  for (auto row = rows->rbegin(); row != rows->rend(); ++row) {
    const auto recorded = reader.entries(row->id);
    if (!recorded) return tl::unexpected<proto::Trouble>(recorded.error());
    std::vector<proto::Entry>& entries = batches.emplace_back();
    for (const auto& one : *recorded) {
      if (!review::tells_of_jars(one.type)) continue;
      if (auto entry = proto::read_entry(one.text)) entries.push_back(std::move(*entry));
    }
  }
  return review::jars(batches, question);
}

}  // namespace maslin::session
