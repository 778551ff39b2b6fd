// The fold of a record, entry by entry, against what it says.
#include "daemon/session/rerun.hpp"

#include <deque>

#include "daemon/batch/engine.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

class Player {
 public:
  explicit Player(const store::BatchRecord& record) : record_(record) {}

  Rerun play() {
    for (const auto& row : record_.entries) {
      readings_until(row.stamp.after_reading);
      if (row.input ? !play_input(row) : !compare(row)) return std::move(answer_);
    }
    readings_until(UINT64_MAX);
    if (!produced_.empty()) differ("after the last entry", "", "now says more: " + front());
    return std::move(answer_);
  }

 private:
  void readings_until(std::uint64_t number) {
    const auto& readings = record_.readings;
    for (; next_ < readings.size() && readings[next_].number <= number; ++next_) {
      read_ = readings[next_].number;
      queue(engine_.reading(readings[next_]));
    }
  }

  bool play_input(const store::EntryRow& row) {
    const std::string at = "entry " + std::to_string(row.stamp.sequence);
    if (!produced_.empty()) return differ(at, row.type, "now says before it: " + front());
    const auto entry = proto::read_entry(row.text);
    if (!entry) return differ(at, row.type, "cannot be read: " + entry.error().what);
    const auto& input = std::get<proto::Input>(entry->body);
    if (const auto* start = std::get_if<proto::Start>(&input)) {
      answer_.recorded_revision = start->engine_revision;
    }
    queue(engine_.input(row.stamp.at_ms, input));
    return true;
  }

  bool compare(const store::EntryRow& row) {
    const std::string at = "entry " + std::to_string(row.stamp.sequence);
    if (produced_.empty()) return differ(at, row.type, "is not said any more");
    auto stamp = row.stamp;  // sequence and UTC are not the engine's
    stamp.at_ms = produced_.front().at_ms;
    stamp.after_reading = produced_.front().after_reading;
    const std::string text = proto::entry_text({stamp, produced_.front().outcome});
    if (!proto::same_facts(text, row.text)) return differ(at, row.type, "now reads: " + text);
    produced_.pop_front();
    return true;
  }

  void queue(std::span<const proto::Outcome> outcomes) {
    for (const auto& outcome : outcomes) {
      if (proto::effect_of(outcome) == proto::Effect::live) continue;
      produced_.push_back({engine_.now_ms(), read_, outcome});
    }
  }

  std::string front() const {
    return proto::entry_text({{0, produced_.front().at_ms, 0, produced_.front().after_reading},
                              produced_.front().outcome});
  }

  bool differ(const std::string& at, const std::string& type, const std::string& how) {
    answer_.same = false;
    answer_.first_difference = at + (type.empty() ? " " : " (" + type + ") ") + how;
    return false;
  }

  struct Produced {
    std::int64_t at_ms;
    std::uint64_t after_reading;
    proto::Outcome outcome;
  };
  const store::BatchRecord& record_;
  batch::Engine engine_;
  Rerun answer_;
  std::deque<Produced> produced_;
  std::size_t next_ = 0;
  std::uint64_t read_ = 0;
};

}  // namespace

Rerun rerun(const store::BatchRecord& record) { return Player(record).play(); }

proto::Verified verified(const store::BatchRecord& record, const Rerun& rerun) {
  proto::Verified answer;
  answer.batch = record.row.name;
  answer.entries = static_cast<std::int64_t>(record.entries.size());
  answer.readings = static_cast<std::int64_t>(record.readings.size());
  if (rerun.same) {
    answer.answer = "same";
  } else if (rerun.recorded_revision != batch::engine_revision) {
    answer.answer = "differs by revision";
    answer.detail = "recorded by engine revision " + std::to_string(rerun.recorded_revision) +
                    ", now " + std::to_string(batch::engine_revision) + "; the record stands. " +
                    rerun.first_difference;
    answer.exit_code = 5;
  } else {
    answer.answer = "differs";
    answer.detail = "a fault of program or machine: " + rerun.first_difference;
    answer.exit_code = 6;
  }
  return answer;
}

}  // namespace maslin::session
