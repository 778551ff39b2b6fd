#include "plugins/hid-scale/descriptor.hpp"

#include <algorithm>
#include <map>
#include <utility>

namespace maslin::hid {
namespace {

// Bounds on what a device may ask for. HID sets none; these are far above any real device.
constexpr std::size_t longest_descriptor = 8'192;
constexpr std::uint32_t most_bits = 65'536;
constexpr std::size_t deepest = 32;

// Item tags with their type, as in the prefix byte without its two size bits (HID 1.11, 6.2.2.4 to
// 6.2.2.8).
enum Item : std::uint8_t {
  main_input = 0x80,
  main_output = 0x90,
  main_collection = 0xA0,
  main_feature = 0xB0,
  main_end_collection = 0xC0,
  global_usage_page = 0x04,
  global_logical_minimum = 0x14,
  global_logical_maximum = 0x24,
  global_unit_exponent = 0x54,
  global_unit = 0x64,
  global_report_size = 0x74,
  global_report_id = 0x84,
  global_report_count = 0x94,
  global_push = 0xA4,
  global_pop = 0xB4,
  local_usage = 0x08,
  local_usage_minimum = 0x18,
  local_usage_maximum = 0x28,
  local_delimiter = 0xA8,
};

struct Value {
  std::uint32_t plain = 0;
  std::uint32_t size = 0;  // bytes
  std::int64_t with_sign() const { return size == 0 ? 0 : sign_extended(plain, size * 8); }
};

struct Globals {
  std::uint16_t page = 0;
  Value least, most;
  std::uint32_t unit = 0;
  int unit_exponent = 0;
  std::uint32_t size = 0;
  std::uint32_t count = 0;
  std::uint8_t report = 0;
};

// A usage item of four bytes brings its page along; a shorter one takes the page in force at the
// main item.
struct WrittenUsage {
  Value value;
  Usage with(std::uint16_t page) const {
    const auto id = static_cast<std::uint16_t>(value.plain & 0xFFFF);
    return {value.size == 4 ? static_cast<std::uint16_t>(value.plain >> 16) : page, id};
  }
};

struct WrittenRange {
  WrittenUsage first;
  WrittenUsage last;
};

struct Locals {
  std::vector<WrittenRange> usages;
  std::optional<WrittenUsage> minimum;
  std::optional<WrittenUsage> maximum;
  bool in_delimiter = false;
  bool delimiter_used = false;
};

// A nibble in two's complement (HID 1.11, 6.2.2.7); some devices write a whole byte or more.
int unit_exponent(Value value) {
  if (value.plain <= 0xF) return static_cast<int>(sign_extended(value.plain, 4));
  return static_cast<int>(std::clamp<std::int64_t>(value.with_sign(), -128, 127));
}

class Reader {
 public:
  Result<Descriptor> read(std::span<const std::uint8_t> bytes) {
    if (bytes.empty()) return tl::unexpected<std::string>("the report descriptor is empty");
    if (bytes.size() > longest_descriptor) {
      return tl::unexpected<std::string>("the report descriptor is longer than 8192 bytes");
    }
    for (std::size_t at = 0; at < bytes.size();) {
      const std::uint8_t prefix = bytes[at];
      static constexpr std::size_t sizes[] = {0, 1, 2, 4};
      std::size_t size = sizes[prefix & 3];
      std::size_t head = 1;
      if (prefix == 0xFE && at + 2 < bytes.size()) {  // a long item: none is defined, skipped
        size = bytes[at + 1];
        head = 3;
      }
      if (bytes.size() - at < head + size) return broken("an item is cut off", at);
      Value value{0, static_cast<std::uint32_t>(size)};
      if (head == 1) {
        for (std::size_t i = 0; i < size; ++i) {
          value.plain |= std::uint32_t{bytes[at + 1 + i]} << (8 * i);
        }
        if (const char* why = take(static_cast<Item>(prefix & 0xFC), value)) return broken(why, at);
      }
      at += head + size;
    }
    if (!open_.empty()) return broken("a collection is not closed", bytes.size());
    return std::move(out_);
  }

 private:
  static tl::unexpected<std::string> broken(const std::string& why, std::size_t at) {
    return tl::unexpected("report descriptor, byte " + std::to_string(at) + ": " + why);
  }

  // What is wrong, or nullptr.
  const char* take(Item item, Value value) {
    switch (item) {
      case main_input:
        return field(Kind::input, value.plain);
      case main_output:
        return field(Kind::output, value.plain);
      case main_feature:
        return field(Kind::feature, value.plain);
      case main_collection: {
        if (open_.size() >= deepest) return "collections nest too deep";
        auto usages = resolved();
        open_.push_back(usages.empty() ? Usage{} : usages.front().first);
        locals_ = {};
        return nullptr;
      }
      case main_end_collection:
        if (open_.empty()) return "a collection ends that never began";
        open_.pop_back();
        locals_ = {};
        return nullptr;
      case global_push:
        if (pushed_.size() >= deepest) return "too many push items";
        pushed_.push_back(now_);
        return nullptr;
      case global_pop:
        if (pushed_.empty()) return "pop without push";
        now_ = pushed_.back();
        pushed_.pop_back();
        return nullptr;
      case global_report_id:
        if (value.plain == 0 || value.plain > 255) return "a report id must be 1 to 255";
        now_.report = static_cast<std::uint8_t>(value.plain);
        out_.has_ids = true;
        return nullptr;
      default:
        global_or_local(item, value);
        return nullptr;
    }
  }

  void global_or_local(Item item, Value value) {
    switch (item) {
      case global_usage_page:
        now_.page = static_cast<std::uint16_t>(value.plain & 0xFFFF);
        break;
      case global_logical_minimum:
        now_.least = value;
        break;
      case global_logical_maximum:
        now_.most = value;
        break;
      case global_unit_exponent:
        now_.unit_exponent = unit_exponent(value);
        break;
      case global_unit:
        now_.unit = value.plain;
        break;
      case global_report_size:
        now_.size = value.plain;
        break;
      case global_report_count:
        now_.count = value.plain;
        break;
      case local_usage:
        add({{value}, {value}});
        break;
      case local_usage_minimum:
        locals_.minimum = WrittenUsage{value};
        close_range();
        break;
      case local_usage_maximum:
        locals_.maximum = WrittenUsage{value};
        close_range();
        break;
      case local_delimiter:
        locals_.in_delimiter = value.plain == 1;
        locals_.delimiter_used = false;
        break;
      default:
        break;  // physical ranges, strings, designators: nothing here depends on them
    }
  }

  // Between delimiters stand other names of one and the same usage: the first is the preferred.
  void add(WrittenRange range) {
    if (locals_.in_delimiter && std::exchange(locals_.delimiter_used, true)) return;
    locals_.usages.push_back(range);
  }

  void close_range() {
    if (!locals_.minimum || !locals_.maximum) return;
    add({*locals_.minimum, *locals_.maximum});
    locals_.minimum.reset();
    locals_.maximum.reset();
  }

  std::vector<UsageRange> resolved() const {
    std::vector<UsageRange> all;
    for (const auto& written : locals_.usages) {
      const UsageRange range{written.first.with(now_.page), written.last.with(now_.page).id};
      if (range.first.id <= range.last) all.push_back(range);
    }
    return all;
  }

  const char* field(Kind kind, std::uint32_t flags) {
    auto& used = used_bits_[{kind, now_.report}];
    const std::uint64_t wanted = std::uint64_t{now_.size} * now_.count;
    if (wanted > most_bits || used + wanted > most_bits)
      return "a report is larger than 8192 bytes";
    Field one;
    one.kind = kind;
    one.report = now_.report;
    one.constant = (flags & 1) != 0;
    one.variable = (flags & 2) != 0;
    one.bit = used;
    one.size = now_.size;
    one.count = now_.count;
    one.least = now_.least.with_sign();
    // The maximum has a sign only where the minimum is below zero: FF FF is 65535 over a minimum
    // of 0.
    one.most = one.least < 0 ? now_.most.with_sign() : std::int64_t{now_.most.plain};
    one.unit = now_.unit;
    one.unit_exponent = now_.unit_exponent;
    one.usages = resolved();
    one.collections = open_;
    used += static_cast<std::uint32_t>(wanted);
    out_.fields.push_back(std::move(one));
    locals_ = {};
    return nullptr;
  }

  Descriptor out_;
  Globals now_;
  std::vector<Globals> pushed_;
  Locals locals_;
  std::vector<Usage> open_;
  std::map<std::pair<Kind, std::uint8_t>, std::uint32_t> used_bits_;
};

}  // namespace

std::uint32_t Field::usage_count() const {
  std::uint32_t all = 0;
  for (const auto& range : usages) all += range.count();
  return all;
}

std::optional<Usage> Field::usage(std::uint32_t index) const {
  if (usages.empty()) return std::nullopt;
  for (const auto& range : usages) {
    if (index < range.count()) {
      return Usage{range.first.page, static_cast<std::uint16_t>(range.first.id + index)};
    }
    index -= range.count();
  }
  if (!variable) return std::nullopt;
  return Usage{usages.back().first.page, usages.back().last};
}

std::optional<std::uint32_t> Field::index_of(Usage wanted) const {
  std::uint32_t before = 0;
  for (const auto& range : usages) {
    if (range.first.page == wanted.page && wanted.id >= range.first.id && wanted.id <= range.last) {
      const auto index = before + (wanted.id - range.first.id);
      if (variable && index < count) return index;
      return std::nullopt;
    }
    before += range.count();
  }
  return std::nullopt;
}

std::size_t Descriptor::length(Kind kind, std::uint8_t report) const {
  std::uint32_t end = 0;
  for (const auto& field : fields) {
    if (field.kind == kind && field.report == report) {
      end = std::max(end, field.bit + field.size * field.count);
    }
  }
  if (end == 0) return 0;
  return (end + 7) / 8 + (has_ids ? 1 : 0);
}

Result<Descriptor> parse(std::span<const std::uint8_t> bytes) { return Reader().read(bytes); }

std::optional<std::uint64_t> bits(std::span<const std::uint8_t> data, std::uint32_t bit,
                                  std::uint32_t size) {
  if (size == 0 || size > 64 || std::uint64_t{bit} + size > data.size() * 8) return std::nullopt;
  std::uint64_t value = 0;
  for (std::uint32_t i = 0; i < size; ++i) {
    const auto at = bit + i;
    value |= std::uint64_t{(data[at / 8] >> (at % 8)) & 1U} << i;
  }
  return value;
}

std::int64_t sign_extended(std::uint64_t value, std::uint32_t size) {
  if (size >= 64) return static_cast<std::int64_t>(value);
  const auto sign = std::uint64_t{1} << (size - 1);
  value &= (sign << 1) - 1;
  return static_cast<std::int64_t>((value ^ sign) - sign);
}

}  // namespace maslin::hid
