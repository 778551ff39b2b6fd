// The kernel's thermometers and barometers: which are there, and what each says now. Reads files
// under a root, /sys unless a test gives another. Called by plugin.cpp on its thread.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "plugins/thermometer/values.hpp"

namespace maslin::thermometer {

// What `--plugin thermometer=ARGUMENT` says: root=DIR and also=NAME, separated by commas.
struct Choice {
  std::filesystem::path root = "/sys";
  std::vector<std::string> also;  // drivers that are taken though they may measure a board
};
// Throws std::runtime_error with what is wrong and what to write.
Choice parse_choice(const std::string& argument);

enum class Source : std::uint8_t { one_wire, iio_temperature, iio_pressure, hwmon };

struct Sensor {
  Source source = Source::one_wire;
  std::filesystem::path folder;
  std::string channel;  // "in_temp", "in_temp_object", "in_pressure", "temp1"
  std::string product;  // the driver's name
  std::string serial;   // 1-Wire only
  std::string port;     // where it is connected
  std::string label;
  std::string key() const { return folder.string() + "/" + channel; }
};

// Every sensor that a cook could mean. 1-Wire thermometers; IIO temperatures and pressures, but not
// the die of a converter or motion sensor; hwmon only for drivers of stand-alone sensors, since the
// rest measures the computer. What measures the air, and what was named with also=, is labelled
// "room". Nothing there is no error.
std::vector<Sensor> find_sensors(const Choice& choice);

// One measurement; may take as long as the sensor converts (1-Wire: three quarters of a second).
// `before` is its last good value.
Measured measure(const Sensor& sensor, std::optional<sdk::Decimal> before);

}  // namespace maslin::thermometer
