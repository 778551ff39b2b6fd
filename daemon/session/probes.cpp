// Calibrations of thermometers; see the header.
#include "daemon/session/probes.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "daemon/plan/barometer.hpp"
#include "daemon/preserving/boiling.hpp"
#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/readings.hpp"
#include "daemon/quantity/times.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

constexpr std::int64_t day_ms = 24LL * 3600 * 1000;
constexpr std::int64_t old_after_ms = 365 * day_ms;  // common practice, no source
constexpr const char* key = "probe/";
// The weather's standard deviation about the pressure of an altitude, and of a barometer that was
// read (both our judgement).
constexpr double weather_pa = 900;
constexpr double barometer_pa = 100;
constexpr double lowest_hpa = 300;
constexpr double highest_hpa = 1100;
constexpr double hpa_of_an_inch = 33.8639;  // of mercury at 0 °C; NIST SP 811, table B.8

using quantity::plain;

std::string date(std::int64_t utc_ms) { return quantity::utc_text(utc_ms).substr(0, 10); }
std::string name_of(proto::Role role) { return std::string(proto::name(role)); }
std::string the(proto::Role role) { return "The " + name_of(role) + "'s thermometer"; }
double kelvin(std::int64_t mk) { return static_cast<double>(mk) / 1000; }
double celsius(std::int64_t mk) { return kelvin(mk - 273'150); }

// "0.3 K too much"
std::string off_text(std::int64_t off_mk) {
  if (std::abs(off_mk) < 50) return "nothing wrong";
  return plain(std::abs(kelvin(off_mk)), 1) + " K too " + (off_mk > 0 ? "much" : "little");
}

proto::Result<double> pressure_of(const proto::CalibrateRequest& request,
                                  std::optional<double> altitude_m) {
  if (!request.pressure_hpa) {
    const auto standard =
        altitude_m ? quantity::standard_pressure_pa(*altitude_m) : std::optional<double>();
    if (standard) return *standard;
    return proto::trouble("where water boils here is not known", "altitude",
                          "maslin settings --altitude \"METRES m\", or give the true pressure: "
                          "--pressure \"987 hPa\"");
  }
  const double hpa = *request.pressure_hpa;
  if (!(hpa >= lowest_hpa && hpa <= highest_hpa)) {
    const double as_inches = hpa * hpa_of_an_inch;
    return proto::trouble(plain(hpa, 1) + " hPa is no air pressure of a kitchen", "pressure",
                          as_inches >= lowest_hpa && as_inches <= highest_hpa
                              ? "in inches of mercury it would be " + plain(as_inches, 0) +
                                    " hPa: say \"" + plain(hpa, 2) + " inHg\""
                              : "give 300 to 1100 hPa");
  }
  if (altitude_m && plan::reduced_to_sea(*altitude_m, hpa * 100)) {
    return proto::trouble(
        plain(hpa, 0) + " hPa is not the pressure at " + plain(*altitude_m, 0) + " m", "pressure",
        "what a weather report gives is reduced to the sea; give the true pressure of the place, "
        "or leave it out");
  }
  return hpa * 100;
}

}  // namespace

Probes::Probes(asio::io_context& io, store::Store& store, std::chrono::milliseconds patience)
    : store_(store), most_wait_(patience), patience_(io) {
  for (const auto& [name, text] : store_.kept_under(key)) {
    const auto read = proto::from_json<proto::ProbeCalibration>(text);
    if (read) kept_[name.substr(std::string_view(key).size())] = *read;
  }
}

std::optional<proto::ProbeCalibration> Probes::of(const proto::DeviceDescription& probe) const {
  const auto found = kept_.find(probe.id);
  if (found == kept_.end() || probe.quantity != proto::Quantity::temperature) return std::nullopt;
  return found->second;
}

std::vector<std::string> Probes::notes(const proto::Plan& plan,
                                       const std::vector<proto::LeasedDevice>& devices,
                                       std::int64_t utc_ms) const {
  const auto has = [&](auto&& wanted) {
    return std::any_of(plan.operations.begin(), plan.operations.end(), wanted);
  };
  const bool ends_by_degrees =
      has([](const auto& one) { return one.until == "temperature" || one.until == "above boil"; });
  const bool bath = has([](const auto& one) { return one.kind == "water bath"; });
  std::vector<std::string> notes;
  for (const auto& one : devices) {
    if (one.description.quantity != proto::Quantity::temperature) continue;
    const std::string how = "maslin calibrate " + name_of(one.role) + " --ice";
    if (!one.probe) {
      const bool needed = (one.role == proto::Role::pan && ends_by_degrees) ||
                          (one.role == proto::Role::canner && bath);
      if (needed) {
        notes.push_back(the(one.role) +
                        " was never held against ice and boil, and may be off by a "
                        "kelvin: " +
                        how);
      }
      continue;
    }
    if (std::abs(one.probe->boil_mk - one.probe->boil_true_mk) >= 50) {
      notes.push_back(the(one.role) + " shows " +
                      off_text(one.probe->boil_mk - one.probe->boil_true_mk) +
                      " at the boil (calibrated " + date(one.probe->utc_ms) +
                      "). What maslin says is corrected; its own display is not.");
    }
    if (utc_ms - one.probe->utc_ms > old_after_ms) {
      notes.push_back(the(one.role) + " was calibrated on " + date(one.probe->utc_ms) +
                      ", more than a year ago: " + how);
    }
  }
  return notes;
}

void Probes::point(const Probe& probe, const proto::CalibrateRequest& request,
                   std::optional<double> altitude_m, std::int64_t utc_ms, Done done) {
  if (done_) {
    done(proto::trouble("a thermometer has not come to rest since the last word", "",
                        "wait for its answer"));
    return;
  }
  boil_ = {};
  if (request.what == "boiling") {
    const auto pressure = pressure_of(request, altitude_m);
    if (!pressure) {
      done(tl::unexpected(pressure.error()));
      return;
    }
    boil_.pressure_pa = *pressure;
    boil_.pressure_u_pa = request.pressure_hpa ? barometer_pa : weather_pa;
    boil_.by = request.pressure_hpa ? "pressure" : "altitude";
    boil_.true_mk = std::llround(*preserving::saturation_temperature_k(*pressure) * 1000);
  }
  probe_ = probe;
  at_ = request.what;
  utc_ms_ = utc_ms;
  still_.restart();
  done_ = std::move(done);
  heard_ = false;
  patience_.expires_after(most_wait_);
  patience_.async_wait([this](const asio::error_code& fault) {
    if (fault || !done_) return;
    if (!heard_) {
      answer(proto::trouble("the thermometer has sent nothing", probe_.description.id,
                            "wake it, then say it again; maslin devices shows what it sends"));
      return;
    }
    answer(proto::trouble("the thermometer does not come to rest", probe_.description.id,
                          at_ == "ice" ? "stir crushed ice with a little water, hold the tip still "
                                         "in the middle of it"
                                       : "boil plain water hard, hold the tip in it and off the "
                                         "bottom"));
  });
}

void Probes::forget(const Probe& probe, const Done& done) {
  if (probe.description.id == probe_.description.id) give_up("it was forgotten");
  points_.erase(probe.description.id);
  store_.forget(key + probe.description.id);
  const bool there = kept_.erase(probe.description.id) > 0;
  probe_ = probe;
  proto::CalibrationStatus status = this->status("forgotten");
  status.lines.push_back(the(probe.role) + (there
                                                ? " has no calibration any more; what it shows is "
                                                  "taken as it is."
                                                : " had no calibration."));
  done(status);
}

void Probes::give_up(const std::string& why) {
  if (done_) answer(proto::trouble("the calibration was given up: " + why, "", "say it again"));
}

void Probes::answer(const proto::Result<proto::CalibrationStatus>& status) {
  patience_.cancel();
  std::exchange(done_, nullptr)(status);
}

void Probes::take(const devices::Happening& one) {
  if (!done_ || one.device != probe_.number) return;
  if (one.kind == devices::Happening::Kind::left) {
    give_up("the thermometer is gone");
    return;
  }
  if (one.kind != devices::Happening::Kind::reading) return;
  heard_ = true;
  auto reading = one.reading;
  const auto shown = quantity::millikelvin(reading);
  if (!shown) {
    still_.restart();
    return;
  }
  // The step of its last digit.
  auto next = reading;
  ++next.digits;
  const auto above = quantity::millikelvin(next);
  still_.feed(one.at_ms, *shown, above ? *above - *shown : 0);
  if (const auto level = still_.level_mk()) answer(stood(*level));
}

proto::Result<proto::CalibrationStatus> Probes::stood(std::int64_t level_mk) {
  const auto wrong =
      at_ == "ice" ? preserving::no_ice(level_mk) : preserving::no_boil(level_mk, boil_.true_mk);
  if (wrong) return tl::unexpected(*wrong);
  Points& points = points_[probe_.description.id];
  if (at_ == "ice") {
    points.ice = Ice{utc_ms_, level_mk};
    if (points.boil && utc_ms_ - points.boil->utc_ms > day_ms) points.boil.reset();
  } else {
    boil_.utc_ms = utc_ms_;
    boil_.shown_mk = level_mk;
    points.boil = boil_;
    if (points.ice && utc_ms_ - points.ice->utc_ms > day_ms) points.ice.reset();
  }
  if (points.ice && points.boil) return kept(points);
  proto::CalibrationStatus status = this->status(at_);
  status.lines.push_back(
      the(probe_.role) + " shows " + quantity::celsius(level_mk) +
      (at_ == "ice" ? " in ice."
                    : ", and water boils at " + quantity::celsius(boil_.true_mk) + " here."));
  status.next = at_ == "ice" ? "Now in water that boils hard, off the bottom: maslin calibrate " +
                                   name_of(probe_.role) + " --boiling"
                             : "Now in crushed ice stirred with a little water: maslin calibrate " +
                                   name_of(probe_.role) + " --ice";
  return status;
}

proto::CalibrationStatus Probes::kept(const Points& points) {
  const Ice& ice = *points.ice;
  const Boil& boil = *points.boil;
  if (boil.by == "altitude") {
    if (const auto wrong = preserving::no_altitude(ice.shown_mk, boil.shown_mk, boil.true_mk)) {
      proto::CalibrationStatus status = this->status("refused");
      status.lines.push_back("Not used: " + proto::line(*wrong));
      return status;
    }
  }
  const auto line =
      preserving::calibrate_probe(celsius(ice.shown_mk), celsius(boil.shown_mk), boil.pressure_pa,
                                  boil.pressure_u_pa, kelvin(still_.interval_mk()));
  if (!line) {
    proto::CalibrationStatus status = this->status("refused");
    status.lines.push_back("Not used: " + proto::line(line.error()));
    return status;
  }
  proto::ProbeCalibration now;
  now.utc_ms = utc_ms_;
  now.ice_mk = ice.shown_mk;
  now.boil_mk = boil.shown_mk;
  now.boil_true_mk = boil.true_mk;
  now.boil_by = boil.by;
  now.ice_u_mk = std::llround(line->standard_uncertainty_c(0) * 1000);
  now.boil_u_mk = std::llround(line->standard_uncertainty_c(line->boiling_c) * 1000);
  const auto before = of(probe_.description);
  if (before) {
    now.before_utc_ms = before->utc_ms;
    now.before_off_mk = before->boil_mk - before->boil_true_mk;
  }
  kept_[probe_.description.id] = now;
  store_.keep(key + probe_.description.id, proto::to_json(now));
  proto::CalibrationStatus status = this->status("kept");
  status.lines.push_back(the(probe_.role) + " shows " + off_text(now.boil_mk - now.boil_true_mk) +
                         " at the boil and " + off_text(now.ice_mk - 273'150) +
                         " in ice. What maslin says is corrected; its own display is not.");
  status.lines.push_back(
      "At the boil it is known to ± " + plain(2 * kelvin(now.boil_u_mk), 2) + " K (95 %)" +
      (boil.by == "altitude" ? ", nearly all of it the weather: with the true pressure, "
                               "--pressure \"987 hPa\", it is known better."
                             : "."));
  if (before) {
    const std::int64_t drift = now.boil_mk - now.boil_true_mk - now.before_off_mk;
    const double known = 2 * std::hypot(kelvin(now.boil_u_mk), kelvin(before->boil_u_mk));
    status.lines.push_back("Since " + date(before->utc_ms) + " it has " +
                           (std::abs(kelvin(drift)) > known
                                ? "drifted by " + plain(std::abs(kelvin(drift)), 1) + " K."
                                : "not drifted by more than this can tell."));
  }
  points_.erase(probe_.description.id);
  return status;
}

proto::CalibrationStatus Probes::status(std::string state) const {
  proto::CalibrationStatus status;
  status.device = probe_.description.id;
  status.role = probe_.role;
  status.state = std::move(state);
  if (const auto found = points_.find(probe_.description.id); found != points_.end()) {
    if (found->second.ice) status.ice_shown_c = celsius(found->second.ice->shown_mk);
    if (found->second.boil) status.boil_shown_c = celsius(found->second.boil->shown_mk);
  }
  status.probe = of(probe_.description);
  return status;
}

}  // namespace maslin::session
