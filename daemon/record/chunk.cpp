// The chunk codec. Layout of version 1 (all numbers varints, see README.md):
//   "MRC" 1, count, number of the first, devices, column of device order, then for each device
//   its number, its count, its forms, first stamp, period, shifts, first digits, order,
//   and its columns of forms, stamps and digits.
#include "daemon/record/chunk.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <map>
#include <optional>

#include "daemon/record/canonical.hpp"
#include "daemon/record/columns.hpp"

namespace maslin::record {
namespace {

using proto::Reading;

constexpr std::string_view kMagic{"MRC\x01", 4};
constexpr std::uint64_t kLargestVarint = 10;  // bytes of a column for one reading, at most

// What seldom changes about the readings of a device; readings only name the form by its place.
struct Form {
  std::uint16_t state = 0;
  std::int8_t exponent = 0;
  proto::Unit unit = proto::Unit::none;
  proto::Quantity quantity = proto::Quantity::mass;
  auto operator<=>(const Form&) const = default;
};

Form form_of(const Reading& reading) {
  return {reading.state, reading.exponent, reading.unit, reading.quantity};
}

struct Pace {
  int phase_shift;
  int period_shift;
};
// Tried by encode, the cheapest is kept. Shift 0 of the phase: the pace is counted from the last
// stamp.
constexpr std::array<Pace, 7> kPaces{{{0, 0}, {0, 4}, {0, 6}, {1, 6}, {2, 7}, {3, 8}, {4, 10}}};
constexpr int kMostShift = 16;

// What the guess missed by, one varint for each reading but the first. Differences wrap round: the
// digits of a broken device may lie anywhere, and must come back as they were.
std::string stamp_column(const std::vector<Reading>& readings, std::int64_t period, Pace pace) {
  PaceGuess guess(readings.front().at_ms, period, pace.phase_shift, pace.period_shift);
  std::string column;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    put_varint(column, zigzag(wrapping_sub(readings[i].at_ms, guess.next())));
    guess.saw(readings[i].at_ms);
  }
  return column;
}

std::string digit_column(const std::vector<Reading>& readings, int order) {
  DigitsGuess guess(readings.front().digits, order);
  std::string column;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    put_varint(column, zigzag(wrapping_sub(readings[i].digits, guess.next())));
    guess.saw(readings[i].digits);
  }
  return column;
}

// In 1/256 ms, from the middle half of the steps: gaps must not count, and one median stamp step
// would only be a whole number of milliseconds.
std::int64_t usual_period(const std::vector<Reading>& readings) {
  std::vector<std::int64_t> steps;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    steps.push_back(wrapping_sub(readings[i].at_ms, readings[i - 1].at_ms));
  }
  if (steps.empty()) return 0;
  std::sort(steps.begin(), steps.end());
  const std::size_t from = steps.size() / 4;
  const std::size_t to = steps.size() - from;
  std::int64_t sum = 0;
  for (std::size_t i = from; i < to; ++i) {
    if (steps[i] < 0 || steps[i] > (std::int64_t{1} << 32)) return 0;
    sum += steps[i] * 256;
  }
  return sum / static_cast<std::int64_t>(to - from);
}

std::string packed(const std::string& column) {
  std::string bytes;
  put_column(bytes, column);
  return bytes;
}

// One device's readings. A device repeats itself in time, digits and form; mixed with another its
// pattern would be lost, which is why a chunk is sorted by device and keeps the order apart.
void put_device(std::string& bytes, const std::vector<Reading>& readings) {
  put_varint(bytes, readings.front().device);
  put_varint(bytes, readings.size());

  std::map<Form, std::uint64_t> places;
  std::vector<Form> forms;
  std::string form_column;
  for (const Reading& reading : readings) {
    const Form form = form_of(reading);
    const auto [place, is_new] = places.try_emplace(form, forms.size());
    if (is_new) forms.push_back(form);
    put_varint(form_column, place->second);
  }
  put_varint(bytes, forms.size());
  for (const Form& form : forms) {
    put_varint(bytes, form.state);
    bytes += static_cast<char>(form.exponent);
    bytes += static_cast<char>(form.unit);
    bytes += static_cast<char>(form.quantity);
  }
  put_column(bytes, form_column);

  const std::int64_t period = usual_period(readings);
  Pace best_pace = kPaces.front();
  std::string stamps;
  for (const Pace pace : kPaces) {
    std::string column = packed(stamp_column(readings, period, pace));
    if (stamps.empty() || column.size() < stamps.size()) {
      stamps = std::move(column);
      best_pace = pace;
    }
  }
  put_varint(bytes, zigzag(readings.front().at_ms));
  put_varint(bytes, static_cast<std::uint64_t>(period));
  put_varint(bytes, static_cast<std::uint64_t>(best_pace.phase_shift));
  put_varint(bytes, static_cast<std::uint64_t>(best_pace.period_shift));
  bytes += stamps;

  const std::string plain = packed(digit_column(readings, 1));
  const std::string sloped = packed(digit_column(readings, 2));
  put_varint(bytes, zigzag(readings.front().digits));
  put_varint(bytes, plain.size() <= sloped.size() ? 1 : 2);
  bytes += plain.size() <= sloped.size() ? plain : sloped;
}

struct Device {
  std::vector<Reading> readings;
  std::size_t given = 0;  // how many the order has already asked for
};

// nullopt where the bytes make no sense. Every count is held against `most`, the readings that the
// chunk may still have, before anything is made of that size: a damaged byte must not ask for
// gigabytes.
std::optional<Device> take_device(Cursor& cursor, std::uint64_t most) {
  const std::uint64_t number = cursor.varint();
  const std::uint64_t count = cursor.varint();
  const std::uint64_t form_count = cursor.varint();
  if (cursor.failed() || number > 0xFFFFU || count == 0 || count > most || form_count > count) {
    return std::nullopt;
  }
  std::vector<Form> forms;
  for (std::uint64_t i = 0; i < form_count && !cursor.failed(); ++i) {
    Form form;
    form.state = static_cast<std::uint16_t>(cursor.varint());
    form.exponent = static_cast<std::int8_t>(cursor.byte());
    form.unit = static_cast<proto::Unit>(cursor.byte());
    form.quantity = static_cast<proto::Quantity>(cursor.byte());
    forms.push_back(form);
  }
  const auto form_column = take_column(cursor, count * kLargestVarint);
  const std::int64_t first_ms = unzigzag(cursor.varint());
  const auto period = static_cast<std::int64_t>(cursor.varint());
  const std::uint64_t phase_shift = cursor.varint();
  const std::uint64_t period_shift = cursor.varint();
  const auto stamps = take_column(cursor, count * kLargestVarint);
  const std::int64_t first_digits = unzigzag(cursor.varint());
  const std::uint64_t order = cursor.varint();
  const auto digits = take_column(cursor, count * kLargestVarint);
  if (cursor.failed() || !form_column || !stamps || !digits || phase_shift > kMostShift ||
      period_shift > kMostShift || (order != 1 && order != 2)) {
    return std::nullopt;
  }

  Device device;
  device.readings.reserve(static_cast<std::size_t>(count));
  Cursor form_cursor(*form_column);
  Cursor stamp_cursor(*stamps);
  Cursor digit_cursor(*digits);
  PaceGuess pace(first_ms, period, static_cast<int>(phase_shift), static_cast<int>(period_shift));
  DigitsGuess guess(first_digits, static_cast<int>(order));
  for (std::uint64_t i = 0; i < count; ++i) {
    const std::uint64_t place = form_cursor.varint();
    if (place >= forms.size()) return std::nullopt;
    const Form& form = forms[static_cast<std::size_t>(place)];
    Reading reading;
    reading.device = static_cast<std::uint16_t>(number);
    reading.state = form.state;
    reading.exponent = form.exponent;
    reading.unit = form.unit;
    reading.quantity = form.quantity;
    reading.at_ms = first_ms;
    reading.digits = first_digits;
    if (i > 0) {
      reading.at_ms = wrapping_add(pace.next(), unzigzag(stamp_cursor.varint()));
      reading.digits = wrapping_add(guess.next(), unzigzag(digit_cursor.varint()));
      pace.saw(reading.at_ms);
      guess.saw(reading.digits);
    }
    device.readings.push_back(reading);
  }
  if (!form_cursor.done() || !stamp_cursor.done() || !digit_cursor.done()) return std::nullopt;
  return device;
}

}  // namespace

Chunk encode(std::span<const Reading> readings) {
  assert(!readings.empty() && readings.size() <= kLargestChunk);
  std::vector<std::vector<Reading>> devices;
  std::map<std::uint16_t, std::uint64_t> places;
  std::string order;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    assert(readings[i].number == readings.front().number + i);
    const auto [place, is_new] = places.try_emplace(readings[i].device, devices.size());
    if (is_new) devices.emplace_back();
    devices[static_cast<std::size_t>(place->second)].push_back(readings[i]);
    put_varint(order, place->second);
  }

  Chunk chunk;
  chunk.first = readings.front().number;
  chunk.count = readings.size();
  chunk.hash = content_hash(readings);
  chunk.bytes = kMagic;
  put_varint(chunk.bytes, chunk.count);
  put_varint(chunk.bytes, chunk.first);
  put_varint(chunk.bytes, devices.size());
  put_column(chunk.bytes, order);
  for (const auto& device : devices) put_device(chunk.bytes, device);
  return chunk;
}

proto::Result<std::vector<Reading>> decode(std::string_view bytes) {
  const auto damaged = [] {
    return proto::trouble("a chunk of readings is damaged", {}, "take the record from a backup");
  };
  if (bytes.size() < kMagic.size() || bytes.substr(0, 3) != kMagic.substr(0, 3)) return damaged();
  if (bytes[3] != kMagic[3]) {
    return proto::trouble("a chunk of readings was written by a newer version", {},
                          "read it with that version");
  }
  Cursor cursor(bytes.substr(kMagic.size()));
  const std::uint64_t count = cursor.varint();
  const std::uint64_t first = cursor.varint();
  const std::uint64_t device_count = cursor.varint();
  if (cursor.failed() || count == 0 || count > kLargestChunk || device_count > count) {
    return damaged();
  }
  const auto order = take_column(cursor, count * kLargestVarint);
  if (!order) return damaged();
  std::vector<Device> devices;
  std::uint64_t left = count;
  for (std::uint64_t i = 0; i < device_count; ++i) {
    std::optional<Device> device = take_device(cursor, left);
    if (!device) return damaged();
    left -= device->readings.size();
    devices.push_back(std::move(*device));
  }
  if (left != 0 || !cursor.done()) return damaged();

  std::vector<Reading> readings;
  readings.reserve(static_cast<std::size_t>(count));
  Cursor order_cursor(*order);
  for (std::uint64_t i = 0; i < count; ++i) {
    const std::uint64_t place = order_cursor.varint();
    if (order_cursor.failed() || place >= devices.size()) return damaged();
    Device& device = devices[static_cast<std::size_t>(place)];
    if (device.given == device.readings.size()) return damaged();
    readings.push_back(device.readings[device.given++]);
    readings.back().number = first + i;
  }
  if (!order_cursor.done()) return damaged();
  return readings;
}

}  // namespace maslin::record
