#include "plugins/hid-scale/layout.hpp"

#include <algorithm>
#include <array>

namespace maslin::hid {
namespace {

// Usages of page 0x8D: USB-IF HID Usage Tables, weighing devices.
constexpr std::uint16_t weighing_page = 0x8D;
constexpr std::uint16_t attribute_collection = 0x30;
constexpr std::uint16_t limit_collection = 0x34;
constexpr std::uint16_t statistics_collection = 0x35;
constexpr Usage data_weight{weighing_page, 0x40};
constexpr Usage data_scaling{weighing_page, 0x41};
constexpr std::uint16_t first_unit = 0x51;  // milligram; the units follow in the order of MASLIN_MG
constexpr std::uint16_t last_unit = 0x5C;   // pound
constexpr std::uint16_t first_status = 0x71;
constexpr std::uint16_t last_status = 0x78;
// The state bits of status usages 0x71 ... 0x78.
constexpr std::array<std::uint16_t, 8> states{
    MASLIN_FAULT, MASLIN_ZERO | MASLIN_STEADY, MASLIN_MOVING,    MASLIN_STEADY, MASLIN_UNDER,
    MASLIN_OVER,  MASLIN_NEEDS_CALIBRATION,    MASLIN_NEEDS_ZERO};
// With one of these the weight in the report means nothing: under zero, a magnitude would even read
// as load.
constexpr int without_value = MASLIN_FAULT | MASLIN_UNDER | MASLIN_OVER | MASLIN_NEEDS_CALIBRATION;
// HID unit "gram" (USB HID 1.11, 6.2.2.7): SI linear system, mass to the power of 1.
constexpr std::uint32_t hid_gram = 0x101;
constexpr int largest_exponent = 12;

tl::unexpected<std::string> error(std::string text) { return tl::unexpected(std::move(text)); }

bool names_one_of(const Field& field, std::uint16_t first, std::uint16_t last) {
  return std::ranges::any_of(field.usages, [&](const UsageRange& range) {
    return range.first.page == weighing_page && range.first.id <= last && range.last >= first;
  });
}

bool stands_in(const Field& field, std::uint16_t collection) {
  return std::ranges::find(field.collections, Usage{weighing_page, collection}) !=
         field.collections.end();
}

std::optional<std::uint64_t> number(const Field& field, std::uint32_t index,
                                    std::span<const std::uint8_t> data) {
  return bits(data, field.bit + index * field.size, field.size);
}

// Which usage a number of an array field selects (USB HID 1.11, 6.2.2.5: counted from the logical
// minimum). Some devices write a range from 0 that is one longer than their list of usages; there 0
// can only mean "none" and the list begins at 1, else the last value would name nothing.
std::optional<Usage> selected_by(const Field& field, std::uint64_t raw) {
  const auto value = field.least < 0 ? sign_extended(raw, field.size)
                                     : static_cast<std::int64_t>(std::min<std::uint64_t>(
                                           raw, static_cast<std::uint64_t>(INT64_MAX)));
  if (value < field.least || value > field.most) return std::nullopt;
  auto index = value - field.least;
  if (field.least == 0 && field.most == std::int64_t{field.usage_count()}) --index;
  if (index < 0) return std::nullopt;
  return field.usage(static_cast<std::uint32_t>(index));
}

// The usages that an array selects, or that a field of flags has set. Of an array with several
// places some may be empty. Error: an array that selects nothing the descriptor names.
Result<std::vector<Usage>> selected(const Field& field, std::span<const std::uint8_t> data,
                                    const char* what) {
  std::vector<Usage> all;
  for (std::uint32_t i = 0; i < field.count; ++i) {
    const auto raw = number(field, i, data);
    if (!raw) return error(std::string("the report ends before its ") + what);
    if (field.variable) {
      if (const auto usage = field.usage(i); usage && *raw != 0) all.push_back(*usage);
      continue;
    }
    if (const auto usage = selected_by(field, *raw)) {
      all.push_back(*usage);
    } else if (field.count == 1) {
      return error(std::string(what) + " " + std::to_string(*raw) + " is none of the descriptor's");
    }
  }
  if (all.empty() && !field.variable) return error(std::string("the report names no ") + what);
  return all;
}

// Power of ten from unit to unit; empty where the units are not metric.
std::optional<int> metric(std::uint16_t unit) {
  if (unit == MASLIN_MG) return -3;
  if (unit == MASLIN_G) return 0;
  if (unit == MASLIN_KG) return 3;
  return std::nullopt;
}

}  // namespace

std::optional<sdk::Decimal> in_unit(Mass mass, std::uint16_t unit) {
  if (mass.unit == unit) return mass.value;
  const auto from = metric(mass.unit);
  const auto to = metric(unit);
  if (!from || !to) return std::nullopt;
  return sdk::Decimal{mass.value.digits, mass.value.exponent + *from - *to};
}

Result<Layout> Layout::of(std::span<const std::uint8_t> descriptor) {
  auto parsed = parse(descriptor);
  if (!parsed) return error(std::move(parsed.error()));
  Layout layout(std::move(*parsed));
  layout.sort_out();
  const auto weighs = [](const Parts& parts) { return parts.weight >= 0; };
  if (std::ranges::none_of(layout.live_, weighs)) {
    return error("no weighing device: no input report has a weight (usage 0x8D 0x40)");
  }
  for (const auto& parts : layout.live_) {
    if (weighs(parts) && !layout.has_unit(parts)) {
      return error("the descriptor names no unit of weight");
    }
  }
  return layout;
}

Layout::Parts& Layout::parts_of(std::vector<Parts>& list, const Field& field) {
  for (auto& parts : list) {
    if (parts.report == field.report) return parts;
  }
  return list.emplace_back(Parts{.kind = field.kind, .report = field.report});
}

// By a field, or as the descriptor's own unit of the weight.
bool Layout::has_unit(const Parts& parts) const {
  return parts.unit >= 0 || (parts.weight >= 0 && at(parts.weight)->unit == hid_gram);
}

// Sorts the fields into what they belong to. Of several of one kind in a report the first counts.
void Layout::sort_out() {
  std::vector<Parts> limits;
  std::vector<Parts> attributes;
  for (int i = 0; i < static_cast<int>(descriptor_.fields.size()); ++i) {
    const auto& field = *at(i);
    if (field.constant || field.size == 0 || field.size > 64 || field.kind == Kind::output)
      continue;
    std::vector<Parts>* list = nullptr;
    if (stands_in(field, statistics_collection)) {
      continue;
    } else if (field.kind == Kind::input && !stands_in(field, limit_collection) &&
               !stands_in(field, attribute_collection)) {
      list = &live_;
    } else if (field.kind == Kind::feature && stands_in(field, limit_collection)) {
      list = &limits;
    } else if (field.kind == Kind::feature && stands_in(field, attribute_collection)) {
      list = &attributes;
    }
    if (list == nullptr) continue;
    const auto keep = [&](int Parts::*part) {
      int& place = parts_of(*list, field).*part;
      if (place < 0) place = i;
    };
    if (field.variable && field.index_of(data_weight)) keep(&Parts::weight);
    if (field.variable && field.index_of(data_scaling)) keep(&Parts::scaling);
    if (names_one_of(field, first_unit, last_unit)) keep(&Parts::unit);
    if (names_one_of(field, first_status, last_status)) keep(&Parts::status);
  }
  for (const auto& parts : limits) {
    if (!limit_ && parts.weight >= 0 && has_unit(parts)) limit_ = parts;
  }
  for (const auto& parts : attributes) {
    if (!attributes_ && parts.unit >= 0 && parts.scaling >= 0) attributes_ = parts;
  }
}

const Field* Layout::at(int index) const {
  return &descriptor_.fields[static_cast<std::size_t>(index)];
}

std::uint8_t Layout::weight_report() const {
  const auto first = std::ranges::find_if(live_, [](const Parts& one) { return one.weight >= 0; });
  return first == live_.end() ? 0 : first->report;
}

std::size_t Layout::longest_input() const {
  std::size_t longest = 0;
  for (const auto& field : descriptor_.fields) {
    if (field.kind == Kind::input) {
      longest = std::max(longest, descriptor_.length(Kind::input, field.report));
    }
  }
  return longest;
}

std::optional<std::uint8_t> Layout::limit_report() const {
  return limit_ ? std::optional(limit_->report) : std::nullopt;
}

std::optional<std::uint8_t> Layout::attribute_report() const {
  return attributes_ ? std::optional(attributes_->report) : std::nullopt;
}

// The data behind the id byte, once the length is what the descriptor says.
Result<Layout::Data> Layout::data_of(Kind kind, std::span<const std::uint8_t> report) const {
  if (report.empty()) return error("the report is empty");
  const std::uint8_t id = descriptor_.has_ids ? report.front() : 0;
  const auto expected = descriptor_.length(kind, id);
  if (expected == 0) return error("report id " + std::to_string(id) + " is not in the descriptor");
  if (report.size() != expected) {
    return error("report of " + std::to_string(report.size()) + " bytes, " +
                 std::to_string(expected) + " expected");
  }
  return descriptor_.has_ids ? report.subspan(1) : report;
}

Result<std::uint16_t> Layout::unit_of(const Parts& parts, Data data) const {
  if (parts.unit < 0) return MASLIN_G;  // checked at the start: the weight field says grams
  const auto usages = selected(*at(parts.unit), data, "unit");
  if (!usages) return error(usages.error());
  for (const auto& usage : *usages) {
    if (usage.page == weighing_page && usage.id >= first_unit && usage.id <= last_unit) {
      return static_cast<std::uint16_t>(usage.id - first_unit + MASLIN_MG);
    }
  }
  return error("the report names no unit");
}

Result<int> Layout::exponent_of(const Parts& parts, Data data) const {
  if (parts.scaling < 0) {
    const auto& field = *at(parts.weight);
    // The descriptor's exponent belongs to the descriptor's unit.
    return field.unit == hid_gram && parts.unit < 0 ? field.unit_exponent : 0;
  }
  const auto& field = *at(parts.scaling);
  const auto raw = number(field, field.index_of(data_scaling).value_or(0), data);
  if (!raw) return error("the report ends before its scaling");
  // A nibble in two's complement, alone or in a whole byte; else the whole field is signed,
  // whatever range the descriptor gives: a power of ten above 100 weighs nothing.
  const bool nibble = field.size == 4 || (field.least == 0 && field.most == 15);
  const auto exponent = sign_extended(*raw, nibble ? 4 : field.size);
  if (exponent < -largest_exponent || exponent > largest_exponent) {
    return error("scaling " + std::to_string(exponent) + " is no power of ten of a scale");
  }
  return static_cast<int>(exponent);
}

Result<std::uint16_t> Layout::state_of(const Parts& parts, Data data) const {
  std::uint16_t state = 0;
  if (parts.status < 0) return state;
  const auto usages = selected(*at(parts.status), data, "status");
  if (!usages) return error(usages.error());
  for (const auto& usage : *usages) {
    if (usage.page != weighing_page || usage.id < first_status || usage.id > last_status) continue;
    state = static_cast<std::uint16_t>(state | states[usage.id - first_status]);
  }
  return state;
}

Result<maslin_reading> Layout::reading_of(const Parts& parts, Data data) const {
  const auto state = state_of(parts, data);
  if (!state) return error(state.error());
  auto reading = sdk::reading(MASLIN_MASS, MASLIN_NO_UNIT, {}, *state);
  const bool has_value = parts.weight >= 0 && (*state & without_value) == 0;
  if (parts.weight >= 0) {
    const auto unit = unit_of(parts, data);
    const auto exponent = exponent_of(parts, data);
    if (unit && exponent) {
      reading.unit = *unit;
      reading.exponent = static_cast<std::int8_t>(*exponent);
    } else if (has_value) {
      return error(unit ? exponent.error() : unit.error());
    }
  }
  if (!has_value) return reading;
  const auto& field = *at(parts.weight);
  const auto raw = number(field, field.index_of(data_weight).value_or(0), data);
  if (!raw) return error("the report ends before its weight");
  const auto digits =
      field.least < 0 ? sign_extended(*raw, field.size) : static_cast<std::int64_t>(*raw);
  if (digits < 0 && field.least >= 0) return error("the weight is larger than 63 bits");
  // Outside its logical range a field has no value (USB HID 1.11, 6.2.2.5).
  if (field.least < field.most && (digits < field.least || digits > field.most)) {
    reading.state = static_cast<std::uint16_t>(reading.state | MASLIN_FAULT_RANGE);
    return reading;
  }
  reading.digits = digits;
  return reading;
}

Result<std::vector<maslin_reading>> Layout::decode(std::span<const std::uint8_t> report) const {
  const auto data = data_of(Kind::input, report);
  if (!data) return error(data.error());
  std::vector<maslin_reading> readings;
  for (const auto& parts : live_) {
    if (descriptor_.has_ids && parts.report != report.front()) continue;
    const auto reading = reading_of(parts, *data);
    if (!reading) return error(reading.error());
    const bool trouble = (reading->state & (without_value | MASLIN_NEEDS_ZERO)) != 0;
    if (parts.weight >= 0 || trouble) readings.push_back(*reading);
  }
  return readings;
}

Result<Mass> Layout::limit(std::span<const std::uint8_t> report) const {
  if (!limit_) return error("this device tells no limit");
  auto mass = step_of(*limit_, report);
  if (!mass) return mass;
  const auto& field = *at(limit_->weight);
  const auto raw =
      number(field, field.index_of(data_weight).value_or(0), *data_of(limit_->kind, report));
  if (!raw || *raw > static_cast<std::uint64_t>(INT64_MAX)) return error("the limit is no number");
  mass->value.digits = static_cast<std::int64_t>(*raw);
  return mass;
}

Result<Mass> Layout::step(std::span<const std::uint8_t> report) const {
  if (!attributes_) return error("this device tells no attributes");
  return step_of(*attributes_, report);
}

// One unit of the last digit, by unit and scaling of the report.
Result<Mass> Layout::step_of(const Parts& parts, Data report) const {
  const auto data = data_of(parts.kind, report);
  if (!data) return error(data.error());
  if (descriptor_.has_ids && parts.report != report.front()) return error("another report");
  const auto unit = unit_of(parts, *data);
  if (!unit) return error(unit.error());
  const auto exponent = exponent_of(parts, *data);
  if (!exponent) return error(exponent.error());
  return Mass{{1, *exponent}, *unit};
}

}  // namespace maslin::hid
