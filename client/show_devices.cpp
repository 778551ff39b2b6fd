// What is plugged in, what it is for and what it shows now.
#include <algorithm>
#include <cmath>

#include "client/show.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

// As the device shows it: its digits with the point where its exponent puts it.
std::string value(const proto::Reading& reading) {
  if (!reading.usable()) return "no value";
  std::string text;
  if (reading.exponent >= 0 || reading.exponent < -9) {
    text = number(static_cast<double>(reading.digits) * std::pow(10.0, reading.exponent), 6);
  } else {
    char digits[64];
    std::snprintf(digits, sizeof digits, "%.*f", -reading.exponent,
                  static_cast<double>(reading.digits) * std::pow(10.0, reading.exponent));
    text = digits;
  }
  std::string unit(proto::name(reading.unit));
  if (unit == "degC") unit = "°C";
  if (unit == "degF") unit = "°F";
  return text + " " + unit;
}

// The step is known in grams. A scale that was switched to ounces steps otherwise, and nobody said
// how.
std::string interval(const proto::DeviceState& state) {
  if (state.description.interval_ug <= 0) return "";
  const bool metric = !state.last || state.last->unit <= proto::Unit::kg;
  return metric ? grams_of_ug(state.description.interval_ug) : "";
}

// "live" alone would look the same for a settled weight, one that moves and none at all.
std::string condition(const proto::DeviceState& state) {
  constexpr std::string_view live = "live";
  if (!state.condition.starts_with(live)) return state.condition;
  const auto rest = state.condition.substr(live.size());
  if (!state.last) return (state.description.period_ms > 0 ? "waiting" : "live") + rest;
  const bool moving = (state.last->state & proto::state::moving) != 0;
  return (moving ? "live, moving" : "live") + rest;
}

// How far a scale is off by its calibration, and when that was.
std::string calibration(const proto::DeviceState& state) {
  const proto::ScaleCalibration& known = *state.calibration;
  const double percent = 100.0 * (known.slope - 1.0);
  return std::string(proto::name(state.role)) + ": " + date_text(known.utc_ms) + ", " +
         (known.applied ? "shows " + number(std::abs(percent), 2) + " % too " +
                              (percent > 0 ? "much" : "little") + ", corrected in batches"
                        : std::string("right as far as could be told")) +
         ", known to ± " + number(200.0 * known.span_uncertainty, 2) + " %";
}

// How far a thermometer is off at the boil, and when that was.
std::string probe_calibration(const proto::DeviceState& state) {
  const proto::ProbeCalibration& known = *state.probe;
  const double off = static_cast<double>(known.boil_mk - known.boil_true_mk) / 1000;
  return std::string(proto::name(state.role)) + ": " + date_text(known.utc_ms) +
         ", in ice and at the boil by " + known.boil_by + ", shows " + number(std::abs(off), 2) +
         " K too " + (off > 0 ? "much" : "little") +
         " at the boil, corrected in batches, known to ± " +
         number(static_cast<double>(known.boil_u_mk) / 500, 2) + " K";
}

bool away(const proto::DeviceState& state) {
  return state.condition == "not there" || state.condition.starts_with("lost");
}

// A device without a role is of use only when somebody says for what: one line for each role that
// an absent device keeps, and one for the rest.
void say_what_to_assign(const proto::DeviceList& list, Page& page) {
  const auto& all = list.devices;
  bool kept = false;
  for (const auto& holder : all) {
    if (holder.role == proto::Role::none || !away(holder)) continue;
    const auto instead = std::ranges::find_if(all, [&](const proto::DeviceState& one) {
      return one.role == proto::Role::none && !away(one) &&
             one.description.quantity == holder.description.quantity;
    });
    if (instead == all.end()) continue;
    const std::string role(proto::name(holder.role));
    page.gap().line("The " + role + " is " + holder.description.id +
                    ", which is not there. To use another instead:");
    page.line("maslin assign " + role + " " + instead->description.id, 4);  // whole, to be copied
    kept = true;
  }
  const bool unassigned = std::ranges::all_of(
      all, [](const proto::DeviceState& one) { return one.role == proto::Role::none; });
  if (unassigned && !kept) page.gap().line("Say what a device is for: maslin assign bench DEVICE");
}

// Those that need a look: not running, with an error, or started again not long ago.
std::vector<std::string> trouble(const std::vector<proto::PluginState>& plugins) {
  std::vector<std::string> lines;
  for (const auto& plugin : plugins) {
    if (plugin.condition == "running" && plugin.why.empty() && plugin.restarts == 0) continue;
    std::string line = plugin.name + ": " + plugin.condition;
    if (!plugin.why.empty()) line += ", " + plugin.why;
    if (plugin.restarts == 1) line += ", started again once";
    if (plugin.restarts > 1) {
      line += ", started again " + std::to_string(plugin.restarts) + " times";
    }
    lines.push_back(line);
  }
  return lines;
}

}  // namespace

std::string show(const proto::DeviceList& list) {
  Page page;
  const auto plugins = trouble(list.plugins);
  if (list.devices.empty()) {
    // Where a plugin fails the scale may well be plugged in: the cause stands first.
    for (const auto& plugin : plugins) page.line("Plugin " + plugin, 0, 2);
    if (!plugins.empty()) page.gap();
    page.line(
        "No device is there. Plug the scale in and switch it on; without one, weigh on any "
        "scale and say ok.");
    return page.text();
  }
  Table table({"role", "device", ">shows", "state", ">step", "what it calls itself"});
  for (const auto& state : list.devices) {
    const auto role = proto::name(state.role);
    table.row({role.empty() ? "-" : std::string(role), state.description.id,
               state.last ? value(*state.last) : "-", condition(state), interval(state),
               state.description.label});
  }
  page.raw(table.text());
  say_what_to_assign(list, page);
  std::vector<std::string> calibrations;
  for (const auto& state : list.devices) {
    if (state.calibration) calibrations.push_back(calibration(state));
    if (state.probe) calibrations.push_back(probe_calibration(state));
  }
  page.list("Calibrated (above stands what each device shows itself)", calibrations);
  page.list("Plugins", plugins);
  return page.text();
}

std::string show(const proto::CalibrationStatus& status) {
  Page page;
  if (status.state == "begun") page.line("The empty pan is seen.");
  if (!status.loads.empty()) {
    Table table({">known", ">± (one s.d.)", ">shown"});
    for (const auto& load : status.loads) {
      table.row({grams(load.known_g), number(load.standard_uncertainty_g, 3) + " g",
                 grams(load.shown_g)});
    }
    page.raw(table.text());
  }
  for (const auto& line : status.lines) page.line(line);
  if (!status.next.empty()) page.gap().line(status.next);
  return page.text();
}

std::string show(const proto::DeviceState& device) {
  const auto role = proto::name(device.role);
  return Page()
      .line(device.description.id + " is the " + std::string(role.empty() ? "(none)" : role) +
            " from now on; " + condition(device) +
            (device.last ? ", shows " + value(*device.last) : "") + ".")
      .text();
}

}  // namespace maslin::client
