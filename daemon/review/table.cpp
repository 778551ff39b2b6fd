// The readings of a batch as comma-separated values.
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/readings.hpp"
#include "daemon/review/record.hpp"
#include "daemon/review/review.hpp"

namespace maslin::review {
namespace {

// Exactly, as decimal places of the integer: a spreadsheet must see what was compared.
std::string scaled(std::int64_t value, int places) {
  const bool negative = value < 0;
  std::string digits = std::to_string(value);
  if (negative) digits.erase(0, 1);
  const auto behind = static_cast<std::size_t>(places);
  if (digits.size() <= behind) digits.insert(0, behind + 1 - digits.size(), '0');
  std::string whole = digits.substr(0, digits.size() - behind);
  std::string rest = digits.substr(digits.size() - behind);
  while (!rest.empty() && rest.back() == '0') rest.pop_back();
  return (negative ? "-" : "") + whole + (rest.empty() ? "" : "." + rest);
}

std::string quoted(std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

std::string states(std::uint16_t bits) {
  struct Bit {
    std::uint16_t bit;
    const char* word;
  };
  using namespace proto::state;
  static constexpr Bit kBits[] = {{steady, "steady"},
                                  {moving, "moving"},
                                  {zero, "zero"},
                                  {over, "over"},
                                  {under, "under"},
                                  {needs_calibration, "needs calibration"},
                                  {needs_zero, "needs zero"},
                                  {fault, "fault"},
                                  {fault_open, "wire open"},
                                  {fault_short, "shorted"},
                                  {fault_crc, "bytes damaged"},
                                  {fault_power_on, "power-on value"},
                                  {fault_range, "out of range"}};
  std::string text;
  for (const Bit& bit : kBits) {
    if ((bits & bit.bit) != 0) text += (text.empty() ? "" : "; ") + std::string(bit.word);
  }
  return text;
}

}  // namespace

std::vector<std::string> table(std::span<const proto::Entry> entries,
                               std::span<const proto::Reading> readings) {
  const proto::Start* start = start_of(entries);
  const std::int64_t from_ms = entries.empty() ? 0 : entries.front().stamp.at_ms;
  std::vector<std::string> lines;
  lines.reserve(readings.size() + 1);
  lines.emplace_back(
      "number,time_s,device,mass_g,temperature_degC,pressure_Pa,count,state,digits_as_sent,"
      "exponent_as_sent,unit_as_sent");
  for (const proto::Reading& reading : readings) {
    const auto mass = quantity::micrograms(reading);
    const auto temperature = quantity::millikelvin(reading);
    const auto pressure = quantity::pascals(reading);
    // A reading that only tells a state has no value, and none is made up for it.
    const bool value = reading.usable();
    const bool press = value && reading.quantity == proto::Quantity::press;
    std::string line = std::to_string(reading.number);
    line += ',' + scaled(reading.at_ms - from_ms, 3);
    line += ',' + quoted(device_name(start, reading.device));
    line += ',' + (mass ? scaled(*mass, 6) : "");
    line += ',' + (temperature ? scaled(*temperature - 273'150, 3) : "");
    line += ',' + (pressure ? std::to_string(*pressure) : "");
    line += ',' + (press ? std::to_string(reading.digits) : "");
    line += ',' + states(reading.state);
    line += ',' + (value ? std::to_string(reading.digits) : "");
    line += ',' + (value ? std::to_string(reading.exponent) : "");
    line += ',' + (value ? std::string(proto::name(reading.unit)) : "");
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace maslin::review
