// Where a weighing device keeps weight, unit, scaling and status in its reports, found in its
// report descriptor (USB HID usage page 0x8D, weighing devices), and what a report says. Pure.
// Called by the plugin and by `maslin-plughost decode`.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "plugins/hid-scale/descriptor.hpp"
#include "plugins/sdk/plugin.hpp"

namespace maslin::hid {

// Something measured in a unit of mass: digits * 10^exponent.
struct Mass {
  sdk::Decimal value;
  std::uint16_t unit = MASLIN_NO_UNIT;
};

// Value in another unit, where that is a matter of the exponent alone (milligram, gram, kilogram).
std::optional<sdk::Decimal> in_unit(Mass mass, std::uint16_t unit);

class Layout {
 public:
  // Errors: a broken descriptor; no input report with a weight; a weight without a unit.
  static Result<Layout> of(std::span<const std::uint8_t> descriptor);

  // What one input report says: a reading with the digits as sent, or with a state that has no
  // value (fault, under zero, over the limit); its unit and exponent are told even then where the
  // report has them. Nothing for reports that tell no weight and no trouble. Errors: empty, unknown
  // id, shorter or longer than the descriptor says, a unit or status that the descriptor does not
  // name, an exponent beyond +-12.
  Result<std::vector<maslin_reading>> decode(std::span<const std::uint8_t> report) const;

  // Bytes of the longest input report.
  std::size_t longest_input() const;
  // The first input report with a weight; 0 where reports have no ids.
  std::uint8_t weight_report() const;
  std::size_t input_length(std::uint8_t report) const {
    return descriptor_.length(Kind::input, report);
  }

  // The feature report in which the device tells its greatest load; none for most.
  std::optional<std::uint8_t> limit_report() const;
  // The feature report with the attributes of its class, if it tells unit and scaling.
  std::optional<std::uint8_t> attribute_report() const;
  std::size_t feature_length(std::uint8_t report) const {
    return descriptor_.length(Kind::feature, report);
  }
  // The greatest load that a limit report tells.
  Result<Mass> limit(std::span<const std::uint8_t> report) const;
  // One step of the display that an attribute report tells.
  Result<Mass> step(std::span<const std::uint8_t> report) const;

 private:
  // The fields of one report that belong together; indices into descriptor_.fields, -1: none.
  struct Parts {
    Kind kind = Kind::input;
    std::uint8_t report = 0;
    int weight = -1;
    int scaling = -1;
    int unit = -1;
    int status = -1;
  };
  using Data = std::span<const std::uint8_t>;

  explicit Layout(Descriptor descriptor) : descriptor_(std::move(descriptor)) {}
  void sort_out();
  Parts& parts_of(std::vector<Parts>& list, const Field& field);
  const Field* at(int index) const;
  Result<Data> data_of(Kind kind, std::span<const std::uint8_t> report) const;
  Result<std::uint16_t> unit_of(const Parts& parts, Data data) const;
  Result<int> exponent_of(const Parts& parts, Data data) const;
  Result<std::uint16_t> state_of(const Parts& parts, Data data) const;
  Result<maslin_reading> reading_of(const Parts& parts, Data data) const;
  bool has_unit(const Parts& parts) const;
  Result<Mass> step_of(const Parts& parts, Data report) const;

  Descriptor descriptor_;
  std::vector<Parts> live_;          // input reports
  std::optional<Parts> limit_;       // the feature report with the greatest load
  std::optional<Parts> attributes_;  // the feature report with the attributes
};

}  // namespace maslin::hid
