// Numbers, stamps and hashes around the engine.
#include "daemon/session/live_batch.hpp"

#include <utility>

#include "proto/json.hpp"

namespace maslin::session {

LiveBatch::LiveBatch(std::int64_t id, std::string name)
    : id_(id), name_(std::move(name)), engine_(std::make_unique<batch::Engine>()) {}

proto::Stamp LiveBatch::stamp(std::int64_t utc_less_ms) const {
  return {entries_ + 1, engine_->now_ms(), engine_->now_ms() + utc_less_ms, readings_};
}

void LiveBatch::record(Consequence& consequence, const proto::Entry& entry, std::string text) {
  ++entries_;
  last_utc_ms_ = entry.stamp.utc_ms;
  store::EntryRow row;
  row.stamp = entry.stamp;
  row.input = entry.is_input();
  row.type =
      std::string(std::visit([](const auto& body) { return proto::type_of(body); }, entry.body));
  row.hash = chain_.add(text);
  row.text = std::move(text);
  consequence.step.entries.push_back(std::move(row));
}

void LiveBatch::take_outcomes(Consequence& consequence, std::span<const proto::Outcome> outcomes,
                              std::int64_t utc_less_ms) {
  for (const auto& outcome : outcomes) {
    Publication publication;
    publication.effect = proto::effect_of(outcome);
    publication.at_ms = engine_->now_ms();
    publication.is_cue = std::holds_alternative<proto::Cue>(outcome);
    if (publication.effect == proto::Effect::live) {
      publication.text = proto::to_json(std::get<proto::Progress>(outcome));
    } else {
      const proto::Entry entry{stamp(utc_less_ms), outcome};
      publication.text = proto::entry_text(entry);
      record(consequence, entry, publication.text);
      if (const auto* state = std::get_if<proto::BatchState>(&outcome)) {
        consequence.step.state = state->state;
        consequence.step.closes = engine_->ended();
      }
    }
    consequence.publications.push_back(std::move(publication));
  }
  if (!consequence.records()) return;
  consequence.step.batch = id_;
  consequence.step.readings = std::exchange(unflushed_, {});
}

// What later questions need of an input, live and taken up alike.
void LiveBatch::know(const proto::Input& input) {
  if (const auto* start = std::get_if<proto::Start>(&input)) {
    devices_ = start->devices;
    started_ms_ = engine_->now_ms();
    boot_id_ = start->boot_id;
    offset_ms_ = start->offset_ms;
  } else if (const auto* restart = std::get_if<proto::Restart>(&input)) {
    boot_id_ = restart->boot_id;
    offset_ms_ = restart->offset_ms;
  }
}

Consequence LiveBatch::input(std::int64_t at_ms, std::int64_t utc_less_ms,
                             const proto::Input& input) {
  Consequence consequence;
  const auto outcomes = engine_->input(at_ms, input);
  know(input);
  const proto::Entry entry{stamp(utc_less_ms), input};
  std::string text = proto::entry_text(entry);
  consequence.publications.push_back({proto::Effect::settled, engine_->now_ms(), text, false});
  record(consequence, entry, std::move(text));
  take_outcomes(consequence, outcomes, utc_less_ms);
  return consequence;
}

Consequence LiveBatch::reading(proto::Reading reading, std::int64_t utc_less_ms) {
  Consequence consequence;
  reading.number = ++readings_;
  chain_.take(reading);
  unflushed_.push_back(reading);
  const auto outcomes = engine_->reading(reading);
  if (!outcomes.empty()) take_outcomes(consequence, outcomes, utc_less_ms);
  return consequence;
}

store::Step LiveBatch::flush() {
  store::Step step;
  step.batch = id_;
  step.readings = std::exchange(unflushed_, {});
  return step;
}

void LiveBatch::take_up(const store::BatchRecord& record) {
  std::size_t next = 0;
  const auto readings_until = [&](std::uint64_t number) {
    for (; next < record.readings.size() && record.readings[next].number <= number; ++next) {
      chain_.take(record.readings[next]);
      (void)engine_->reading(record.readings[next]);
      readings_ = record.readings[next].number;
    }
  };
  for (const auto& row : record.entries) {
    readings_until(row.stamp.after_reading);
    chain_.add(row.text);
    entries_ = row.stamp.sequence;
    last_utc_ms_ = row.stamp.utc_ms;
    if (!row.input) continue;
    const auto entry = proto::read_entry(row.text);
    if (!entry) continue;
    const auto& input = std::get<proto::Input>(entry->body);
    (void)engine_->input(row.stamp.at_ms, input);
    know(input);
  }
  readings_until(UINT64_MAX);
}

proto::BatchStatus LiveBatch::status(std::int64_t at_ms) const {
  auto status = engine_->ended() ? engine_->status() : engine_->status_at(at_ms);
  status.batch = name_;
  status.since_ms = started_ms_;
  return status;
}

}  // namespace maslin::session
