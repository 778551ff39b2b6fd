#include "plugins/thermometer/sensors.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <stdexcept>

namespace maslin::thermometer {
namespace {

namespace fs = std::filesystem;

// hwmon drivers of sensors that are bought as sensors, not soldered beside a processor (common
// practice, no source). Others can be named.
constexpr std::array<std::string_view, 8> stand_alone{"sht3x", "sts3x",   "sht4x",  "shtc1",
                                                      "shtw1", "hih6130", "ds1621", "ds620"};
// The prefix of 1-Wire names is the family: thermometers by the kernel's w1_therm driver.
constexpr std::array<std::string_view, 5> one_wire_families{"10-", "22-", "28-", "3b-", "42-"};
// An IIO device that measures one of these has its temperature channel for itself.
constexpr std::array<std::string_view, 5> not_a_thermometer{"in_voltage", "in_current", "in_accel",
                                                            "in_anglvel", "in_magn"};
// Of the air around it: never the pan's by mistake.
constexpr std::array<std::string_view, 2> of_the_room{"in_pressure", "in_humidityrelative"};
// The label of the air, and of what was named with also=, which may measure anything: a role that
// no step of a batch rests on. The cook may assign another.
constexpr std::string_view room_label = "room";
constexpr int celsius_exponent = -4;  // finer than any of these sensors
constexpr int pascal_exponent = -1;

// The text of a small file. Attributes answer with an error where there is no measurement.
struct Text {
  std::string text;
  int error = 0;
};
Text read(const fs::path& file) {
  Text out;
  const int fd = ::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0) return {{}, errno};
  std::array<char, 4096> buffer{};
  const auto size = ::read(fd, buffer.data(), buffer.size());
  if (size < 0) out.error = errno;
  ::close(fd);
  if (size > 0) out.text.assign(buffer.data(), static_cast<std::size_t>(size));
  return out;
}

// One line, without its end.
std::string line_of(const fs::path& file) {
  auto text = read(file).text;
  text.erase(std::min(text.find('\n'), text.size()));
  return text;
}

std::vector<fs::path> inside(const fs::path& folder) {
  std::vector<fs::path> all;
  std::error_code fault;
  // What is there may go meanwhile; a range-for would advance by the operator that throws.
  for (fs::directory_iterator at(folder, fault), end; !fault && at != end; at.increment(fault)) {
    all.push_back(at->path());
  }
  std::ranges::sort(all);
  return all;
}

template <class List>
bool starts_with_one_of(std::string_view name, const List& list) {
  return std::ranges::any_of(list, [&](const auto& prefix) { return name.starts_with(prefix); });
}

// The bus device behind an IIO or hwmon entry, such as "1-0076"; the entry's own name where it
// stands alone.
std::string connected_at(const fs::path& folder) {
  std::error_code fault;
  const auto device = fs::canonical(folder / "device", fault);
  if (!fault) return device.filename().string();
  if (!fs::is_symlink(folder, fault)) return folder.filename().string();
  return fs::canonical(folder, fault).parent_path().filename().string();
}

void find_one_wire(const fs::path& root, std::vector<Sensor>& out) {
  for (const auto& folder : inside(root / "bus/w1/devices")) {
    const auto name = folder.filename().string();
    if (!starts_with_one_of(name, one_wire_families)) continue;
    std::error_code fault;
    if (!fs::exists(folder / "w1_slave", fault) && !fs::exists(folder / "temperature", fault)) {
      continue;
    }
    Sensor sensor;
    sensor.folder = folder;
    sensor.product = name.substr(0, 2);
    sensor.serial = name.substr(3);
    sensor.label = "1-Wire thermometer " + name;
    out.push_back(std::move(sensor));
  }
}

// "in_temp_object_raw" is the channel "in_temp_object"; empty for any other file.
std::string channel_of(const std::string& file, std::string_view kind) {
  for (const std::string_view end : {"_input", "_raw"}) {
    if (file.starts_with(kind) && file.ends_with(end))
      return file.substr(0, file.size() - end.size());
  }
  return "";
}

void find_iio(const Choice& choice, std::vector<Sensor>& out) {
  for (const auto& folder : inside(choice.root / "bus/iio/devices")) {
    const auto files = inside(folder);
    const auto has = [&](const auto& prefixes) {
      return std::ranges::any_of(files, [&](const fs::path& file) {
        return starts_with_one_of(file.filename().string(), prefixes);
      });
    };
    const auto product = line_of(folder / "name");
    const bool named = std::ranges::find(choice.also, product) != choice.also.end();
    const bool own_die = has(not_a_thermometer) && !named;
    const bool room = has(of_the_room);
    for (const auto& file : files) {
      const auto name = file.filename().string();
      Sensor sensor;
      sensor.source = Source::iio_temperature;
      sensor.channel = channel_of(name, "in_temp");
      if (sensor.channel.empty()) {
        sensor.source = Source::iio_pressure;
        sensor.channel = channel_of(name, "in_pressure");
      } else if (own_die) {
        continue;
      }
      // A device may offer both raw and input: one channel all the same.
      const bool double_entry =
          !out.empty() && out.back().folder == folder && out.back().channel == sensor.channel;
      if (sensor.channel.empty() || double_entry) continue;
      sensor.folder = folder;
      sensor.product = product.empty() ? "iio" : product;
      sensor.port = connected_at(folder) + ":" + sensor.channel.substr(3);
      const bool temperature = sensor.source == Source::iio_temperature;
      // An infrared thermometer's object is what it looks at, all else is where it stands.
      const bool here = !sensor.channel.ends_with("_object");
      sensor.label = temperature && (named || (room && here))
                         ? std::string(room_label)
                         : sensor.product + " " + sensor.channel.substr(3);
      out.push_back(std::move(sensor));
    }
  }
}

void find_hwmon(const Choice& choice, std::vector<Sensor>& out) {
  for (const auto& folder : inside(choice.root / "class/hwmon")) {
    const auto product = line_of(folder / "name");
    const bool known = std::ranges::find(stand_alone, product) != stand_alone.end();
    const bool named = std::ranges::find(choice.also, product) != choice.also.end();
    if (!known && !named) continue;
    const auto files = inside(folder);
    const bool room = named || std::ranges::any_of(files, [](const fs::path& file) {
                        return !channel_of(file.filename().string(), "humidity").empty();
                      });
    for (const auto& file : files) {
      const auto channel = channel_of(file.filename().string(), "temp");
      if (channel.empty()) continue;
      Sensor sensor;
      sensor.source = Source::hwmon;
      sensor.folder = folder;
      sensor.channel = channel;
      sensor.product = product;
      sensor.port = connected_at(folder) + ":" + channel;
      sensor.label = room ? room_label : line_of(folder / (channel + "_label"));
      if (sensor.label.empty()) sensor.label = product + " " + channel;
      out.push_back(std::move(sensor));
    }
  }
}

// A factor of an IIO channel, which may stand in its own file or in one that it shares: with the
// channels of its type, with all inputs, with the whole device (the kernel's ABI, sysfs-bus-iio).
// An error of ENOENT: in none of them.
Text read_shared(const Sensor& sensor, const std::string& name) {
  const bool pressure = sensor.source == Source::iio_pressure;
  for (const std::string& owner :
       {sensor.channel + "_", std::string(pressure ? "in_pressure_" : "in_temp_"),
        std::string("in_"), std::string()}) {
    auto text = read(sensor.folder / (owner + name));
    if (text.error != ENOENT) return text;
  }
  return {{}, ENOENT};
}

// (raw + offset) * scale. Only an offset may be missing: without a scale, or with a factor that
// cannot be read, the raw number says nothing.
std::optional<sdk::Decimal> scaled_raw(const Sensor& sensor, int places, int exponent) {
  const auto raw = read(sensor.folder / (sensor.channel + "_raw"));
  const auto offset = read_shared(sensor, "offset");
  const auto scale = read_shared(sensor, "scale");
  const bool whole = raw.error == 0 && scale.error == 0 && !scale.text.empty() &&
                     (offset.error == ENOENT || (offset.error == 0 && !offset.text.empty()));
  if (!whole) return std::nullopt;
  return iio_value(raw.text, offset.text, scale.text, places, exponent);
}

// Degrees are in thousandths, pressure in kilopascals: the kernel's ABI, sysfs-bus-iio.
Measured measure_iio(const Sensor& sensor) {
  // Thermocouple and resistance converters tell a broken wire by files of their own.
  if (line_of(sensor.folder / "fault_oc") == "1") return {{}, MASLIN_FAULT_OPEN};
  if (line_of(sensor.folder / "fault_ovuv") == "1") return {{}, MASLIN_FAULT};
  const bool pressure = sensor.source == Source::iio_pressure;
  const int places = pressure ? 3 : -3;
  const int exponent = pressure ? pascal_exponent : celsius_exponent;
  const auto input = read(sensor.folder / (sensor.channel + "_input"));
  std::optional<sdk::Decimal> value;
  if (input.error == 0) value = scaled(input.text, places, exponent);
  if (input.error == ENOENT) value = scaled_raw(sensor, places, exponent);
  if (!value) return {{}, MASLIN_FAULT};
  return pressure ? pascals(*value) : celsius(*value, kitchen_probe);
}

Measured measure_hwmon(const Sensor& sensor) {
  if (line_of(sensor.folder / (sensor.channel + "_fault")) == "1") return {{}, MASLIN_FAULT_OPEN};
  const auto text = read(sensor.folder / (sensor.channel + "_input"));
  const auto value = scaled(text.text, -3, -3);
  if (text.error != 0 || !value) return {{}, MASLIN_FAULT};
  return celsius(*value, kitchen_probe);
}

Measured measure_one_wire(const Sensor& sensor, std::optional<sdk::Decimal> before) {
  const auto bytes = read(sensor.folder / "w1_slave");
  if (bytes.error == 0) return one_wire(bytes.text, before);
  const auto text = read(sensor.folder / "temperature");
  if (text.error == 0) return one_wire_temperature(text.text, before);
  return {{}, MASLIN_FAULT};
}

}  // namespace

Choice parse_choice(const std::string& argument) {
  Choice choice;
  for (std::size_t from = 0; from < argument.size();) {
    const auto to = std::min(argument.find(',', from), argument.size());
    const auto word = argument.substr(from, to - from);
    from = to + 1;
    if (word.starts_with("root=") && word.size() > 5) {
      choice.root = word.substr(5);
    } else if (word.starts_with("also=") && word.size() > 5) {
      choice.also.push_back(word.substr(5));
    } else {
      throw std::runtime_error("'" + word + "' is not understood; write root=DIR or also=NAME");
    }
  }
  return choice;
}

std::vector<Sensor> find_sensors(const Choice& choice) {
  std::vector<Sensor> all;
  find_one_wire(choice.root, all);
  find_iio(choice, all);
  find_hwmon(choice, all);
  return all;
}

Measured measure(const Sensor& sensor, std::optional<sdk::Decimal> before) {
  switch (sensor.source) {
    case Source::one_wire:
      return measure_one_wire(sensor, before);
    case Source::hwmon:
      return measure_hwmon(sensor);
    case Source::iio_temperature:
    case Source::iio_pressure:
      return measure_iio(sensor);
  }
  return {{}, MASLIN_FAULT};
}

}  // namespace maslin::thermometer
