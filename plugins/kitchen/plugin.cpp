// The kitchen behind the plugin interface: a scale, a thermometer in the pan and maybe one in the
// canner, a pedal. Begins with the first cue it hears; takes part in simulated time.
#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>
#include <optional>
#include <stdexcept>

#include "plugins/kitchen/world.hpp"
#include "plugins/sdk/plugin.hpp"

using namespace maslin;

namespace {

kitchen::Scenario load(const std::string& file) {
  if (file.empty()) throw std::runtime_error("no scenario named; write --plugin kitchen=FILE.toml");
  std::ifstream in(file);
  in.peek();  // a folder can be opened, but not read
  if (!in.is_open() || in.bad()) {
    throw std::runtime_error(
        file + ": " + std::strerror(errno) +
        "; name a file that the daemon may read in --plugin kitchen=FILE.toml");
  }
  const std::string text(std::istreambuf_iterator<char>(in), {});
  auto read = kitchen::read_scenario(text, file);
  if (!read.trouble.empty()) throw std::runtime_error(read.trouble);
  return read.scenario;
}

constexpr sdk::Time ms(std::int64_t value) { return std::chrono::milliseconds(value); }

sdk::Decimal decimal(double value) {
  const auto text = std::to_string(value);  // six decimals, which parse_decimal keeps
  return sdk::parse_decimal(text).value_or(sdk::Decimal{});
}

// The kitchen's time is 0 when it begins; `begin` puts it on the host's clock.
class Devices final : public kitchen::Sink {
 public:
  Devices(sdk::Host& host, const kitchen::Scenario& scenario)
      : host_(host),
        scenario_(scenario),
        probe_(
            host.arrive(probe_about("probe", "simulated thermometer in the pan", scenario.probe))),
        pedal_(host.arrive(pedal_about())) {
    scale_.emplace(host.arrive(scale_about()));
    if (scenario.fine) {
      fine_.emplace(host.arrive(about(*scenario.fine, "fine", "simulated fine scale")));
    }
    if (scenario.canner) {
      canner_.emplace(host.arrive(
          probe_about("canner", "simulated thermometer in the canner", scenario.canner_probe)));
    }
    if (scenario.room) {
      room_.emplace(host.arrive(
          probe_about("room", "simulated thermometer where it stands", scenario.room_probe)));
    }
  }
  void room_reading(std::int64_t at_ms, std::int64_t tenths_c) override {
    room_->send({tenths_c, -1}, 0, begin_ + ms(at_ms));
  }
  void begin(sdk::Time at) { begin_ = at; }

  void scale_reading(std::int64_t at_ms, std::int64_t intervals, bool over) override {
    const auto one = interval(scenario_.scale);
    if (scale_) {
      scale_->send({intervals * one.digits, one.exponent}, over ? MASLIN_OVER : 0,
                   begin_ + ms(at_ms));
    }
  }
  void fine_reading(std::int64_t at_ms, std::int64_t intervals, bool over) override {
    const auto one = interval(*scenario_.fine);
    fine_->send({intervals * one.digits, one.exponent}, over ? MASLIN_OVER : 0, begin_ + ms(at_ms));
  }
  void scale_there(std::int64_t, bool there) override {
    if (there) {
      scale_.emplace(host_.arrive(scale_about()));
    } else if (scale_) {
      scale_->leave("unplugged");
      scale_.reset();
    }
  }
  void probe_reading(std::int64_t at_ms, std::int64_t tenths_c) override {
    probe_.send({tenths_c, -1}, 0, begin_ + ms(at_ms));
  }
  void canner_reading(std::int64_t at_ms, std::int64_t tenths_c) override {
    canner_->send({tenths_c, -1}, 0, begin_ + ms(at_ms));
  }
  void pedal(std::int64_t at_ms, std::int64_t presses) override {
    pedal_.send({presses, 0}, 0, begin_ + ms(at_ms));
  }

 private:
  // The interval with as few decimals as it has.
  static sdk::Decimal interval(const kitchen::ScaleModel& model) {
    auto one = decimal(model.interval_g);
    while (one.exponent < 0 && one.digits % 10 == 0) {
      one.digits /= 10;
      ++one.exponent;
    }
    return one;
  }
  sdk::About scale_about() const { return about(scenario_.scale, "scale", "simulated scale"); }
  static sdk::About about(const kitchen::ScaleModel& model, const char* product,
                          const char* label) {
    return {.vendor = "kitchen",
            .product = product,
            .serial = "1",
            .label = label,
            .interval = interval(model),
            .capacity = decimal(model.capacity_g),
            .period = ms(static_cast<std::int64_t>(1000 / model.rate_hz))};
  }
  static sdk::About probe_about(const char* product, const char* label,
                                const kitchen::ProbeModel& model) {
    return {.quantity = MASLIN_TEMPERATURE,
            .unit = MASLIN_CELSIUS,
            .vendor = "kitchen",
            .product = product,
            .serial = "1",
            .label = label,
            .period = ms(static_cast<std::int64_t>(model.period_s * 1000))};
  }
  static sdk::About pedal_about() {
    return {.quantity = MASLIN_PRESS,
            .unit = MASLIN_COUNT,
            .vendor = "kitchen",
            .product = "pedal",
            .serial = "1",
            .label = "simulated foot pedal"};
  }

  sdk::Host& host_;
  const kitchen::Scenario& scenario_;
  std::optional<sdk::Device> scale_;
  std::optional<sdk::Device> fine_;
  sdk::Device probe_;
  std::optional<sdk::Device> canner_;
  std::optional<sdk::Device> room_;
  sdk::Device pedal_;
  sdk::Time begin_{0};
};

void run(sdk::Host& host) {
  const auto scenario = load(host.argument());
  Devices devices(host, scenario);
  std::optional<kitchen::World> world;
  sdk::Time begin{0};
  host.listen();
  for (;;) {
    const auto woke = host.wait(world ? begin + ms(world->next_ms()) : sdk::forever);
    if (woke.stop()) return;
    while (const auto cue = host.next_cue()) {
      if (!world || cue->id == "batch_started") {
        begin = cue->at;
        devices.begin(begin);
        world.emplace(scenario);
      }
      const auto at_ms =
          std::chrono::duration_cast<std::chrono::milliseconds>(cue->at - begin).count();
      world->hear(
          {at_ms, cue->id, cue->says, cue->ingredient, static_cast<double>(cue->amount_ug) / 1e6});
    }
    if (world && woke.time()) {
      const auto now = std::chrono::duration_cast<std::chrono::milliseconds>(host.now() - begin);
      world->advance(now.count(), devices);
    }
  }
}

// The hand follows a cue 200 ms later at the soonest, see shortest_reaction_s.
constexpr maslin_pace pace{MASLIN_HEAD(maslin_pace), 200'000'000};

}  // namespace

MASLIN_PLUGIN("kitchen", run, {"pace", &pace});
