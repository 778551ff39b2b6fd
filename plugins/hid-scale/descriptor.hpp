// The report descriptor of a USB HID device, read into a flat list of fields (USB HID 1.11, 6.2.2).
// Pure, and about HID alone: nothing of scales here. Called by layout.cpp.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <tl/expected.hpp>

namespace maslin::hid {

template <class T>
using Result = tl::expected<T, std::string>;  // the error is one line for people

struct Usage {
  std::uint16_t page = 0;
  std::uint16_t id = 0;
  friend bool operator==(const Usage&, const Usage&) = default;
};

// Usages first ... last of one page.
struct UsageRange {
  Usage first;
  std::uint16_t last = 0;
  std::uint32_t count() const { return std::uint32_t{last} - first.id + 1; }
};

enum class Kind : std::uint8_t { input, output, feature };

// One main item: `count` numbers of `size` bits each, one behind the other from `bit` on. Bit 0 is
// the first behind the report's id byte, or the first of all where reports have no id.
struct Field {
  Kind kind = Kind::input;
  std::uint8_t report = 0;  // its id; 0 where reports have none
  bool constant = false;    // padding
  bool variable = false;    // number i is the value of usage i; else each number selects a usage
  std::uint32_t bit = 0;
  std::uint32_t size = 0;
  std::uint32_t count = 0;
  std::int64_t least = 0;  // logical minimum and maximum
  std::int64_t most = 0;
  std::uint32_t unit = 0;
  int unit_exponent = 0;
  std::vector<UsageRange> usages;
  std::vector<Usage> collections;  // that it stands in, the outermost first

  std::uint32_t usage_count() const;
  // Usage number `index`, from 0; a variable field's last usage stands for all further numbers.
  std::optional<Usage> usage(std::uint32_t index) const;
  // The place of the first number with this usage; variable fields only.
  std::optional<std::uint32_t> index_of(Usage wanted) const;
};

struct Descriptor {
  std::vector<Field> fields;
  bool has_ids = false;  // every report begins with the byte of its id
  // Bytes of a report, its id byte included; 0 where there is no such report.
  std::size_t length(Kind kind, std::uint8_t report) const;
};

// Errors: longer than any device has, an item cut off, unbalanced collections or push and pop, a
// report id of 0, fields larger than any report.
Result<Descriptor> parse(std::span<const std::uint8_t> bytes);

// The number at `bit` of the data behind the id byte. size 1 ... 64. Empty where the data ends
// before it.
std::optional<std::uint64_t> bits(std::span<const std::uint8_t> data, std::uint32_t bit,
                                  std::uint32_t size);
// Two's complement of `size` bits.
std::int64_t sign_extended(std::uint64_t value, std::uint32_t size);

}  // namespace maslin::hid
