// What is said of a batch after its end: notes, ratings, where its jars are, days or months later.
// The batch is read back from its record, takes the input as it would have then, and is let go
// again.
#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "daemon/quantity/household.hpp"
#include "daemon/session/session.hpp"

namespace maslin::session {
namespace {

// What the cook has measured: a weight, a volume, or neither.
struct Amount {
  std::optional<std::int64_t> ug;
  std::optional<double> ml;
};
Amount amount_of(const std::string& text) {
  const auto amount = quantity::parse_amount(text);
  if (!amount) return {};
  Amount measured{quantity::stated_micrograms(*amount), std::nullopt};
  if (const auto one = quantity::millilitres(amount->measure, quantity::Cups::us_customary)) {
    measured.ml = quantity::value(*one) * quantity::value(amount->value);
  }
  return measured;
}

}  // namespace

bool Session::is_live(const std::string& batch) const {
  return live_ && (batch.empty() || batch == live_->name());
}

void Session::note(const proto::BatchWord& request, Done done) {
  add(request.batch, proto::Command{"note", request.text}, std::move(done));
}

void Session::rate(const proto::RateRequest& request, Done done) {
  add(request.batch, proto::Rating{request.set, request.heat, request.pieces, request.text},
      std::move(done));
}

void Session::jars(const proto::JarRequest& request, Done done) {
  proto::JarWord word{request.what,
                      request.count,
                      request.part_filled,
                      request.jars,
                      request.where,
                      request.text,
                      0};
  if (request.what == "yield" && !request.amount.empty()) {
    const Amount measured = amount_of(request.amount);
    if (!measured.ug && !measured.ml) {
      done(proto::trouble("'" + proto::excerpt(request.amount, 60) + "' is no volume and no weight",
                          "amount", "write it like \"900 mL\" or \"1.2 kg\""));
      return;
    }
    word.mass_ug = measured.ug.value_or(0);
    if (measured.ml) word.count = std::llround(*measured.ml);
  }
  add(request.batch, word, std::move(done));
}

void Session::amend(const proto::AmendRequest& request, Done done) {
  proto::Amendment amendment{request.what,  request.of,     request.with, 0,
                             request.count, request.figure, request.text};
  const bool mass = request.what == "weighed" || request.what == "added" || request.what == "brine";
  if (mass || request.what == "volume") {
    const Amount measured = amount_of(request.amount);
    if (mass ? !measured.ug : !measured.ml) {
      done(proto::trouble(
          "'" + proto::excerpt(request.amount, 60) + "' is no " + (mass ? "weight" : "volume"),
          "amount", mass ? "write it like \"612 g\"" : "write it like \"900 mL\""));
      return;
    }
    if (mass) {
      amendment.mass_ug = *measured.ug;
    } else {
      amendment.figure = *measured.ml;
    }
  }
  add(request.batch, amendment, std::move(done));
}

void Session::measure(const proto::MeasureRequest& request, Done done) {
  // One that nobody told must not stand in the record as measured.
  const bool needed = request.what == "ph" || request.with == "refractometer";
  if (needed && !request.temperature_c) {
    done(proto::trouble("the temperature of the sample is not known", "temperature",
                        "measure it and give it, --temperature \"21 C\""));
    return;
  }
  proto::Measured measured;
  measured.what = request.what;
  measured.with = request.with;
  measured.value = request.value;
  measured.interval = request.interval;
  if (request.temperature_c) measured.temperature_c = *request.temperature_c;
  measured.low_buffer = request.low_buffer;
  measured.low_shown = request.low_shown;
  measured.high_buffer = request.high_buffer;
  measured.high_shown = request.high_shown;
  measured.hours = request.hours;
  measured.jar = request.jar;
  measured.text = request.text;
  add(request.batch, measured, std::move(done));
}

void Session::add(const std::string& batch, const proto::Input& input, Done done) {
  if (!is_live(batch)) {
    add_to_ended(batch, input, std::move(done));
    return;
  }
  const auto status = tell(input);
  if (!status) {
    done(status);
    return;
  }
  when_durable([done = std::move(done), status] { done(status); });
}

// The record is read by the reader thread; two additions to one batch must not start from the same
// end.
void Session::add_to_ended(const std::string& batch, const proto::Input& input, Done done) {
  if (full() || store_failing_) {
    done(proto::trouble("the record cannot be written", "", "make room on the disk first"));
    return;
  }
  if (!added_to_.insert(batch).second) {
    done(
        proto::trouble("something is being added to that batch", "batch", "try again in a moment"));
    return;
  }
  store_.read([this, batch, input, done = std::move(done)](store::Reader& reader) {
    const auto read_back = [&]() -> proto::Result<std::shared_ptr<LiveBatch>> {
      const auto row = reader.find(batch);
      if (!row) return tl::unexpected<proto::Trouble>(row.error());
      if (row->open) return proto::trouble("batch " + row->name + " has not ended", "batch", "");
      if (const auto intact = reader.check_intact(row->id); !intact) {
        return tl::unexpected<proto::Trouble>(intact.error());
      }
      const auto record = reader.load(row->id);
      if (!record) return tl::unexpected<proto::Trouble>(record.error());
      auto again = std::make_shared<LiveBatch>(row->id, row->name);
      again->take_up(*record);
      return again;
    };
    return std::function<void()>([this, batch, input, done, read = read_back()] {
      if (read) {
        add_now(**read, input, done);
      } else {
        done(tl::unexpected<proto::Trouble>(read.error()));
      }
      // Whoever reads it next must see this on disk.
      when_durable([this, batch] { added_to_.erase(batch); });
    });
  });
}

void Session::add_now(LiveBatch& batch, const proto::Input& input, const Done& done) {
  const std::int64_t utc_ms = now_ms() + utc_less_ms();
  const std::int64_t at_ms =
      batch.engine().now_ms() + std::max<std::int64_t>(0, utc_ms - batch.last_utc_ms());
  if (const auto trouble = batch.engine().refuses(input, at_ms)) {
    done(tl::unexpected<proto::Trouble>(*trouble));
    return;
  }
  auto consequence = batch.input(at_ms, utc_ms - at_ms, input);
  write(std::move(consequence.step), {});
  when_durable([done, status = batch.status()] { done(status); });
}

}  // namespace maslin::session
