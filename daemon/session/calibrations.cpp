// Calibrations of scales; see the header.
#include "daemon/session/calibrations.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/readings.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/weighing/water.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

constexpr std::size_t most_loads = 7;
constexpr std::int64_t old_after_ms = 365LL * 24 * 3600 * 1000;  // common practice, no source
constexpr const char* key = "calibration/";

std::string percent(double share) { return quantity::plain(100.0 * share, 3) + " %"; }

std::string date(std::int64_t utc_ms) { return quantity::utc_text(utc_ms).substr(0, 10); }

std::string the(proto::Role role) { return "The " + std::string(proto::name(role)) + " scale"; }

// "shows 0.22 % too much"
std::string off_by(double slope) {
  return "shows " + percent(std::abs(slope - 1.0)) + (slope > 1.0 ? " too much" : " too little");
}

// How it stands against the calibration before.
std::string drift(const proto::ScaleCalibration& now) {
  const double apart = now.slope - now.slope_before;
  const double known = 2.0 * std::hypot(now.span_uncertainty, now.span_uncertainty_before);
  return "Since " + date(now.before_utc_ms) + " it has " +
         (std::abs(apart) > known ? "drifted by " + percent(std::abs(apart))
                                  : std::string("not drifted by more than this can tell")) +
         ".";
}

// The mass of what the cook has put on, or what is missing to know it.
proto::Result<weighing::KnownMass> known_mass(const proto::CalibrateRequest& request) {
  const bool water = request.known_ml > 0;
  const double amount = water ? request.known_ml : request.known_g;
  if (!std::isfinite(amount) || amount <= 0) {
    return proto::trouble("the load has no mass", "--load",
                          "say what is on the pan: --load \"500 g\"");
  }
  if (!request.within || !std::isfinite(*request.within) || *request.within < 0) {
    return proto::trouble(
        "how well is that known?", "--within",
        water
            ? "say what the vessel may be off by: a measuring flask of a litre --within \"0.8 mL\""
            : "say what the weight may be off by, as its papers do: --within \"0.25 g\"");
  }
  const double standard = *request.within / std::numbers::sqrt3;  // rectangular
  if (!water) return weighing::KnownMass{amount, standard};
  if (!(request.celsius >= weighing::kColdestWaterC &&
        request.celsius <= weighing::kWarmestWaterC)) {
    return proto::trouble("that is no water for this", "--water", "use water of 0 to 40 °C");
  }
  return weighing::known_mass(
      {.volume_ml = amount, .standard_ml = standard, .celsius = request.celsius});
}

}  // namespace

Calibrations::Calibrations(asio::io_context& io, store::Store& store,
                           std::chrono::milliseconds patience)
    : store_(store), most_wait_(patience), patience_(io) {
  for (const auto& [name, text] : store_.kept_under(key)) {
    const auto read = proto::from_json<proto::ScaleCalibration>(text);
    if (read) kept_[name.substr(std::string_view(key).size())] = *read;
  }
}

std::optional<proto::ScaleCalibration> Calibrations::of(
    const proto::DeviceDescription& scale) const {
  const auto found = kept_.find(scale.id);
  if (found == kept_.end() || found->second.interval_ug != scale.interval_ug) return std::nullopt;
  return found->second;
}

std::vector<std::string> Calibrations::notes(const std::vector<proto::LeasedDevice>& scales,
                                             std::int64_t utc_ms) const {
  std::vector<std::string> notes;
  for (const proto::LeasedDevice& scale : scales) {
    if (!scale.calibration) continue;
    const proto::ScaleCalibration& known = *scale.calibration;
    if (known.applied) {
      notes.push_back(the(scale.role) + " " + off_by(known.slope) + " (calibrated " +
                      date(known.utc_ms) +
                      "). What maslin says is corrected; the scale's own display is not.");
    }
    if (utc_ms - known.utc_ms > old_after_ms) {
      notes.push_back(the(scale.role) + " was calibrated on " + date(known.utc_ms) +
                      ", more than a year ago: maslin calibrate " +
                      std::string(proto::name(scale.role)));
    }
  }
  return notes;
}

// ---- the one under way ------------------------------------------------------------------------

void Calibrations::begin(const Scale& scale, Done done) {
  give_up("another calibration was begun");
  if (scale.description.interval_ug <= 0) {
    done(proto::trouble("the steps of this scale are not known", scale.description.id,
                        "wait until it has sent a reading, or use another scale"));
    return;
  }
  scale_ = scale;
  making_.emplace(scale.description.interval_ug, scale.description.capacity_ug, scale.lag_ms);
  when_quiet(
      [this]() -> std::optional<proto::Result<proto::CalibrationStatus>> {
        if (!making_->take_zero()) return std::nullopt;
        return status("begun");
      },
      "the scale is not at zero: take everything off, or press its zero key", std::move(done));
}

void Calibrations::load(const proto::CalibrateRequest& request, Done done) {
  const auto mass = known_mass(request);
  if (!mass) {
    done(tl::unexpected(mass.error()));
    return;
  }
  if (!making_->has_zero()) {
    done(proto::trouble("the empty pan was not seen yet", "",
                        "begin again: maslin calibrate " + std::string(name(scale_.role))));
    return;
  }
  if (making_->loads().loads.size() >= most_loads) {
    done(proto::trouble("seven loads are enough", "--load", "empty the pan and say --finish"));
    return;
  }
  when_quiet(
      [this, mass = *mass]() -> std::optional<proto::Result<proto::CalibrationStatus>> {
        if (!making_->take_load(mass)) return std::nullopt;
        return status("loaded");
      },
      "nothing new lies on the pan", std::move(done));
}

void Calibrations::finish(std::int64_t utc_ms, Done done) {
  if (making_->loads().loads.empty()) {
    done(proto::trouble("no load was weighed", "--finish",
                        "put one on and say what it is: --load \"500 g\" --within \"0.25 g\""));
    return;
  }
  // Nothing is lost: the loads so far stand, and the next one may be put on.
  if (const auto so_far = making_->result().refusal;
      !done_ && so_far == weighing::Refusal::too_few) {
    done(proto::trouble(words(so_far), "--finish",
                        "for instance --load \"1000 g\" --within \"0.5 g\", then --finish"));
    return;
  }
  when_quiet(
      [this, utc_ms]() -> std::optional<proto::Result<proto::CalibrationStatus>> {
        if (!making_->take_zero_again()) return std::nullopt;
        return end(utc_ms);
      },
      "something lies on the pan", std::move(done));
}

void Calibrations::forget(const Scale& scale, const Done& done) {
  if (making_ && scale_.description.id == scale.description.id) give_up("it was forgotten");
  store_.forget(key + scale.description.id);
  const bool there = kept_.erase(scale.description.id) > 0;
  proto::CalibrationStatus status;
  status.device = scale.description.id;
  status.role = scale.role;
  status.state = "forgotten";
  status.lines.push_back(the(scale.role) + (there
                                                ? " has no calibration any more; the limits of its "
                                                  "class count again."
                                                : " had no calibration."));
  done(status);
}

void Calibrations::give_up(const std::string& why) {
  making_.reset();
  step_ = nullptr;
  patience_.cancel();
  if (auto done = std::exchange(done_, nullptr)) {
    done(proto::trouble("the calibration was given up: " + why, "", "begin it again"));
  }
}

void Calibrations::when_quiet(Step step, std::string missing, Done done) {
  if (done_) {
    done(proto::trouble("the scale has not come to rest since the last word", "",
                        "wait for its answer"));
    return;
  }
  step_ = std::move(step);
  missing_ = std::move(missing);
  done_ = std::move(done);
  heard_ = false;
  patience_.expires_after(most_wait_);
  patience_.async_wait([this](const asio::error_code& fault) {
    if (!fault && done_) lose_patience();
  });
  try_step();
}

void Calibrations::lose_patience() {
  step_ = nullptr;
  const bool quiet = making_ && making_->level_g();
  std::exchange(done_, nullptr)(
      quiet ? proto::trouble(missing_, scale_.description.id, "see to it, then say it again")
      : !heard_
          ? proto::trouble("the scale has sent nothing", scale_.description.id,
                           "wake it with a press on the pan, wait until it shows 0, then say it "
                           "again; maslin devices shows what it sends")
          : proto::trouble("the scale does not come to rest", scale_.description.id,
                           "nothing may touch the pan; wind, warmth and a table that shakes "
                           "move it"));
}

void Calibrations::try_step() {
  if (!done_ || !making_ || !making_->level_g()) return;
  const auto answer = step_();
  if (!answer) return;
  patience_.cancel();
  step_ = nullptr;
  std::exchange(done_, nullptr)(*answer);
}

void Calibrations::take(const devices::Happening& one) {
  if (!making_ || one.device != scale_.number) return;
  if (one.kind == devices::Happening::Kind::left) {
    give_up("the scale is gone");
    return;
  }
  if (one.kind == devices::Happening::Kind::arrived) {
    making_->interrupted();
    return;
  }
  heard_ = true;
  auto reading = one.reading;
  reading.at_ms = one.at_ms;
  const auto mass = quantity::micrograms(reading);
  if (!mass && reading.usable()) return;
  if (making_->feed(reading, mass.value_or(0))) {
    give_up("the unit of the scale was changed");
    return;
  }
  try_step();
}

proto::CalibrationStatus Calibrations::end(std::int64_t utc_ms) {
  const weighing::Calibration found = making_->result();
  proto::CalibrationStatus answer = status("refused");
  if (found.refusal == weighing::Refusal::none) {
    double heaviest = 0;
    for (const auto& mass : making_->loads().masses) heaviest = std::max(heaviest, mass.mass_g);
    proto::ScaleCalibration now{.utc_ms = utc_ms,
                                .interval_ug = scale_.description.interval_ug,
                                .slope = found.slope,
                                .applied = found.apply,
                                .span_uncertainty = found.u_slope,
                                .heaviest_ug = std::llround(heaviest * 1e6),
                                .loads = static_cast<std::int64_t>(making_->loads().loads.size())};
    if (const auto before = of(scale_.description)) {
      now.before_utc_ms = before->utc_ms;
      now.slope_before = before->slope;
      now.span_uncertainty_before = before->span_uncertainty;
    }
    kept_[scale_.description.id] = now;
    store_.keep(key + scale_.description.id, proto::to_json(now));
    answer.state = "kept";
    answer.kept = now;
    answer.next.clear();
    answer.lines.push_back(the(scale_.role) + " " +
                           (now.applied ? off_by(now.slope) + ", known to ± "
                                        : "is right, as far as this can tell: to ± ") +
                           percent(2.0 * now.span_uncertainty) + ", up to " +
                           quantity::grams(2 * now.heaviest_ug) + ".");
    if (now.applied) {
      answer.lines.push_back("What maslin says is corrected; the scale's own display is not.");
    }
    if (now.before_utc_ms > 0) answer.lines.push_back(drift(now));
  } else {
    answer.lines.push_back("Not used: " + words(found.refusal) + ".");
    answer.next = "Begin again: maslin calibrate " + std::string(proto::name(scale_.role));
    if (of(scale_.description)) answer.lines.push_back("The calibration before it stands.");
  }
  making_.reset();
  return answer;
}

proto::CalibrationStatus Calibrations::status(std::string state) const {
  const weighing::CalibrationLoads& loads = making_->loads();
  proto::CalibrationStatus status;
  status.device = scale_.description.id;
  status.role = scale_.role;
  status.state = std::move(state);
  for (const auto& load : loads.loads) {
    const weighing::KnownMass& mass = loads.masses[load.masses.front()];
    status.loads.push_back({mass.mass_g, mass.standard_g, load.indication_g - load.before_g});
  }
  if (!loads.loads.empty()) {
    const weighing::Calibration found = making_->result();
    status.slope = found.slope;
    status.offset_g = found.offset_g;
    status.span_uncertainty = found.u_slope;
    status.chi_squared = found.chi_squared;
    status.dof = found.dof;
    status.refusal = found.refusal == weighing::Refusal::none ? "" : name(found.refusal);
  }
  const std::string again = "maslin calibrate " + std::string(proto::name(scale_.role));
  status.next = "Put " + std::string(loads.loads.empty() ? "a known load" : "another load") +
                " on the middle of the pan: " + again + " --load \"500 g\" --within \"0.25 g\"";
  if (status.refusal != weighing::name(weighing::Refusal::too_few) && !loads.loads.empty())
    status.next += ". When that was all, empty the pan: " + again + " --finish";
  return status;
}

}  // namespace maslin::session
