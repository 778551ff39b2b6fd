#include "plugins/host/decode.hpp"

#include <array>
#include <cctype>

#include "daemon/quantity/readings.hpp"

namespace maslin::host {

proto::Result<std::vector<std::uint8_t>> parse_hex(std::string_view text,
                                                   const std::string& option) {
  std::vector<std::uint8_t> bytes;
  int high = -1;
  for (const char c : text) {
    if (high < 0 && (c == ' ' || c == ':' || c == '\n')) continue;
    int digit = -1;
    if (c >= '0' && c <= '9') digit = c - '0';
    if (c >= 'a' && c <= 'f') digit = c - 'a' + 10;
    if (c >= 'A' && c <= 'F') digit = c - 'A' + 10;
    if (digit < 0) {
      return proto::trouble(std::string("'") + c + "' is no hex digit", option,
                            "write pairs of hex digits, as in \"03 04 02\"");
    }
    if (high < 0) {
      high = digit;
    } else {
      bytes.push_back(static_cast<std::uint8_t>(high * 16 + digit));
      high = -1;
    }
  }
  if (high >= 0) {
    return proto::trouble("odd number of hex digits", option, "write two digits for every byte");
  }
  return bytes;
}

std::string decimal(std::int64_t digits, int exponent) {
  std::string text = std::to_string(digits);
  const std::size_t first = digits < 0 ? 1 : 0;
  if (exponent >= 0) {
    if (digits != 0) text.append(static_cast<std::size_t>(exponent), '0');
    return text;
  }
  const auto places = static_cast<std::size_t>(-exponent);
  const std::size_t figures = text.size() - first;
  if (figures <= places) text.insert(first, places - figures + 1, '0');
  text.insert(text.size() - places, 1, '.');
  return text;
}

namespace {
// Micrograms as grams without the zeros at the end.
std::string grams(std::int64_t micrograms) {
  auto text = decimal(micrograms, -6);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}
}  // namespace

std::string reading_json(const maslin_reading& raw) {
  proto::Reading reading;
  reading.digits = raw.digits;
  reading.exponent = raw.exponent;
  reading.unit = static_cast<proto::Unit>(raw.unit);
  reading.quantity = static_cast<proto::Quantity>(raw.quantity);
  reading.state = raw.state;
  const auto mass_ug = quantity::micrograms(reading);
  const std::string value = reading.usable() ? decimal(raw.digits, raw.exponent) : "null";
  std::string json = "{\"quantity\":\"";
  json += proto::name(reading.quantity);
  json += "\",\"value\":" + value + ",\"unit\":\"";
  json += proto::name(reading.unit);
  json += "\",\"mass_g\":" + (mass_ug ? grams(*mass_ug) : "null") + ",\"status\":\"";
  json += proto::status_word(reading.state);
  return json + "\"}";
}

proto::Result<std::string> decode(const Plugin& plugin, std::string_view descriptor_hex,
                                  std::string_view report_hex) {
  const auto table = plugin.decode();
  if (!table || table->decode == nullptr) {
    return proto::trouble("has no decoder", plugin.name(),
                          "only plugins with the `decode` extension can be asked");
  }
  const auto descriptor = parse_hex(descriptor_hex, "--descriptor");
  if (!descriptor) return tl::unexpected(descriptor.error());
  const auto report = parse_hex(report_hex, "--report");
  if (!report) return tl::unexpected(report.error());
  std::array<maslin_reading, 16> readings{};
  std::array<char, 256> why{};
  const int count =
      table->decode(descriptor->data(), descriptor->size(), report->data(), report->size(),
                    readings.data(), readings.size(), why.data(), why.size());
  why.back() = '\0';
  if (count < 0) return proto::trouble(why.data(), plugin.name());
  std::string lines;
  for (int i = 0; i < count && i < static_cast<int>(readings.size()); ++i) {
    lines += reading_json(readings[static_cast<std::size_t>(i)]) + "\n";
  }
  return lines;
}

}  // namespace maslin::host
