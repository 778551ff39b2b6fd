// C++20 over maslin_plugin.h: devices that leave by themselves, times as chrono, and no exception
// that crosses the C boundary. A plugin is one function `void run(maslin::sdk::Host&)` and one
// MASLIN_PLUGIN line. Everything here runs on the thread of `run`.
#pragma once

#include <chrono>
#include <concepts>
#include <cstdint>
#include <exception>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "plugins/sdk/maslin_plugin.h"

namespace maslin::sdk {

using Time = std::chrono::nanoseconds;  // since an unnamed start; only differences mean anything
inline constexpr Time forever{MASLIN_FOREVER};

// digits * 10^exponent.
struct Decimal {
  std::int64_t digits = 0;
  int exponent = 0;
};

// "-12.50" to -1250 and -2: every digit kept. Empty where the text is no plain decimal number (an
// optional sign, digits, at most one point) or has more than 18 digits.
inline std::optional<Decimal> parse_decimal(std::string_view text) {
  const bool negative = text.starts_with('-');
  if (negative || text.starts_with('+')) text.remove_prefix(1);
  Decimal value;
  int figures = 0;
  bool point = false;
  for (const char c : text) {
    if (c == '.' && !point) {
      point = true;
    } else if (c >= '0' && c <= '9' && ++figures <= 18) {
      value.digits = value.digits * 10 + (c - '0');
      if (point) --value.exponent;
    } else {
      return std::nullopt;
    }
  }
  if (figures == 0) return std::nullopt;
  if (negative) value.digits = -value.digits;
  return value;
}

// What a device says of itself; see maslin_device. It needs a serial, or a port where it has none,
// and a period, unless it sends only when its value changes (a press always does).
struct About {
  std::uint8_t quantity = MASLIN_MASS;
  std::uint16_t unit = MASLIN_G;
  std::string vendor{}, product{}, serial{}, port{}, label{};
  Decimal interval{}, capacity{};
  Time period{0};  // usual time between readings; the device is silent after three of them
  bool only_on_change = false;
};

inline maslin_reading reading(std::uint8_t quantity, std::uint16_t unit, Decimal value,
                              int state = 0, Time at = Time{0}) {
  return {MASLIN_HEAD(maslin_reading),
          unit,
          static_cast<std::uint16_t>(state),
          at.count(),
          value.digits,
          static_cast<std::int8_t>(value.exponent),
          quantity};
}

// A device that is there for as long as this object lives. Must not outlive `run`.
class Device {
 public:
  Device(const maslin_host& host, const About& about)
      : host_(&host), quantity_(about.quantity), unit_(about.unit) {
    const maslin_device raw{MASLIN_HEAD(maslin_device),
                            about.unit,
                            about.quantity,
                            static_cast<std::uint8_t>(about.only_on_change ? 1 : 0),
                            about.vendor.c_str(),
                            about.product.c_str(),
                            about.serial.c_str(),
                            about.port.c_str(),
                            about.label.c_str(),
                            about.interval.digits,
                            about.capacity.digits,
                            static_cast<std::int8_t>(about.interval.exponent),
                            static_cast<std::int8_t>(about.capacity.exponent),
                            about.period.count()};
    number_ = host_->arrived(host_, &raw);
  }
  Device(Device&& other) noexcept
      : host_(other.host_),
        number_(std::exchange(other.number_, 0)),
        quantity_(other.quantity_),
        unit_(other.unit_) {}
  Device& operator=(Device&& other) noexcept {
    if (this != &other) {
      leave("");
      host_ = other.host_;
      number_ = std::exchange(other.number_, 0);
      quantity_ = other.quantity_;
      unit_ = other.unit_;
    }
    return *this;
  }
  ~Device() { leave(""); }

  // False where the host refused it (the reason is in the log) and after leave; what is sent then
  // goes nowhere.
  bool accepted() const { return number_ != 0; }
  void send(std::span<const maslin_reading> values) const {
    if (number_ != 0 && !values.empty())
      host_->readings(host_, number_, values.data(), static_cast<std::uint32_t>(values.size()));
  }
  // One reading of the device's own quantity and unit; measured now unless `at` says otherwise.
  void send(Decimal value, int state = 0, Time at = Time{0}) const {
    const auto one = reading(quantity_, unit_, value, state, at);
    send({&one, 1});
  }
  // One reading as a decoder made it, in whatever unit the device now reads. A template, so that
  // {digits, exponent} can only be a value.
  template <std::same_as<maslin_reading> Reading>
  void send(const Reading& one) const {
    send({&one, 1});
  }
  // The device gives no value, and why: MASLIN_OVER, MASLIN_UNDER or a MASLIN_FAULT_ bit. Any other
  // state is sent as a fault, so that a missing value never becomes a weight of 0.
  void send_none(int state, Time at = Time{0}) const {
    constexpr int no_value = MASLIN_OVER | MASLIN_UNDER | MASLIN_NEEDS_CALIBRATION | MASLIN_FAULT |
                             MASLIN_FAULT_OPEN | MASLIN_FAULT_SHORT | MASLIN_FAULT_CRC |
                             MASLIN_FAULT_POWER_ON | MASLIN_FAULT_RANGE;
    send(Decimal{}, (state & no_value) != 0 ? state : state | MASLIN_FAULT, at);
  }
  // `why` stands in `maslin devices`: "unplugged".
  void leave(const std::string& why) {
    if (number_ != 0) host_->left(host_, std::exchange(number_, 0), why.c_str());
  }

 private:
  const maslin_host* host_;
  std::uint32_t number_ = 0;
  std::uint8_t quantity_;
  std::uint16_t unit_;
};

// Why `wait` came back; more than one may hold.
struct Woke {
  std::uint32_t bits = 0;
  bool time() const { return (bits & MASLIN_WOKE_TIME) != 0; }
  bool cue() const { return (bits & MASLIN_WOKE_CUE) != 0; }
  bool stop() const { return (bits & MASLIN_WOKE_STOP) != 0; }
  bool fd() const { return (bits & MASLIN_WOKE_FD) != 0; }
};

// What the cook is told; see maslin_cue.
struct Cue {
  Time at{0};
  std::string id;
  int urgency = 1;
  std::string says;
  std::string ingredient;
  std::int64_t amount_ug = 0;
  std::string entry;     // as it stands in the batch's record, JSON
  bool quietly = false;  // no sound: light and text only
};

class Host {
 public:
  explicit Host(const maslin_host& raw) : raw_(raw) {}

  Device arrive(const About& about) { return {raw_, about}; }
  Time now() const { return Time{raw_.now(&raw_)}; }
  Woke wait(Time until, int fd = -1) { return {raw_.wait(&raw_, until.count(), fd)}; }
  Woke sleep(Time span) { return wait(now() + span); }
  void log(int level, const std::string& text) { raw_.log(&raw_, level, text.c_str()); }

  // ARGUMENT of --plugin NAME=ARGUMENT; empty without one.
  std::string argument() const {
    const auto* settings = extension<maslin_settings>("settings");
    return settings != nullptr ? settings->argument : "";
  }
  // Call once before the first wait of a plugin that listens: cues are sent from then on.
  void listen() { cues_ = extension<maslin_cues>("cues"); }
  std::optional<Cue> next_cue() {
    if (cues_ == nullptr) return std::nullopt;
    maslin_cue cue{MASLIN_HEAD(maslin_cue), 0, 0, 0, "", "", "", "", 0};
    if (cues_->next(&raw_, &cue) == 0) return std::nullopt;
    return Cue{Time{cue.at_ns}, cue.id,        cue.urgency, cue.says,
               cue.ingredient,  cue.amount_ug, cue.entry,   cue.quietly != 0};
  }

 private:
  template <class T>
  const T* extension(const char* name) const {
    return static_cast<const T*>(raw_.extension(&raw_, name));
  }
  const maslin_host& raw_;
  const maslin_cues* cues_ = nullptr;
};

// Runs `body` behind the C boundary: an exception becomes a line in the log and a failed run.
inline int guarded(const maslin_host* raw, void (*body)(Host&)) noexcept {
  try {
    Host host(*raw);
    body(host);
    return 0;
  } catch (const std::exception& fault) {
    raw->log(raw, MASLIN_LOG_ERROR, fault.what());
  } catch (...) {
    raw->log(raw, MASLIN_LOG_ERROR, "unknown exception");
  }
  return 1;
}

struct Extension {
  std::string_view name;
  const void* table;
};
inline const void* find(std::initializer_list<Extension> all, std::string_view name) {
  for (const auto& one : all)
    if (one.name == name) return one.table;
  return nullptr;
}

}  // namespace maslin::sdk

// MASLIN_PLUGIN("name", run [, {"decode", &decode_table}] [, {"pace", &pace_table}]) defines the
// entry.
#define MASLIN_PLUGIN(plugin_name, body, ...)                                 \
  extern "C" const maslin_plugin maslin_plugin_entry = {                      \
      MASLIN_HEAD(maslin_plugin), plugin_name,                                \
      [](const maslin_host* raw) { return maslin::sdk::guarded(raw, body); }, \
      [](const char* name) { return maslin::sdk::find({__VA_ARGS__}, name); }}
