// What is plugged in, what it is for and what it shows now.
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

std::string interval(const proto::DeviceDescription& device) {
  return device.interval_ug > 0 ? grams_of_ug(device.interval_ug) : "";
}

std::string notes(const proto::DeviceState& state) {
  std::string text = state.description.label;
  if (state.description.ambiguous) text += " (same serial as another: press the one you mean)";
  return text;
}

}  // namespace

std::string show(const proto::DeviceList& list) {
  Page page;
  if (list.devices.empty()) {
    page.line(
        "No device is there. Plug the scale in and switch it on; without one, weigh on any "
        "scale and say ok.");
  } else {
    Table table({"role", "device", ">shows", "state", ">step", "what it calls itself"});
    for (const auto& state : list.devices) {
      const auto role = proto::name(state.role);
      table.row({role.empty() ? "-" : std::string(role), state.description.id,
                 state.last ? value(*state.last) : "-", state.condition,
                 interval(state.description), notes(state)});
    }
    page.raw(table.text());
    bool unassigned = true;
    for (const auto& state : list.devices) {
      unassigned = unassigned && state.role == proto::Role::none;
    }
    if (unassigned) page.gap().line("Say what a device is for: maslin assign bench DEVICE");
  }
  std::vector<std::string> plugins;
  for (const auto& plugin : list.plugins) {
    if (plugin.condition == "running" && plugin.restarts == 0) continue;
    plugins.push_back(
        plugin.name + ": " + plugin.condition + (plugin.why.empty() ? "" : ", " + plugin.why) +
        (plugin.restarts > 0 ? ", started again " + std::to_string(plugin.restarts) + " times"
                             : ""));
  }
  page.list("Plugins", plugins);
  return page.text();
}

std::string show(const proto::DeviceState& device) {
  const auto role = proto::name(device.role);
  return Page()
      .line(device.description.id + " is the " + std::string(role.empty() ? "(none)" : role) +
            " from now on; " + device.condition +
            (device.last ? ", shows " + value(*device.last) : "") + ".")
      .text();
}

}  // namespace maslin::client
