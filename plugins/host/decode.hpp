// `maslin-plughost decode`: what a plugin's pure decoder makes of bytes, as JSON, without hardware
// or daemon. Called by main.cpp.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "plugins/host/load.hpp"
#include "proto/trouble.hpp"

namespace maslin::host {

// "03 04 02", "03:04:02" or "030402"; an error names what is no pair of hex digits.
proto::Result<std::vector<std::uint8_t>> parse_hex(std::string_view text,
                                                   const std::string& option);

// digits * 10^exponent written out, every digit kept: 1230 and -1 give "123.0".
std::string decimal(std::int64_t digits, int exponent);

// {"quantity":"mass","value":123.4,"unit":"g","mass_g":123.4,"status":"steady"}; null for a value
// that the state forbids, and for mass_g of what is no mass.
std::string reading_json(const maslin_reading& raw);

// One line of JSON per reading. Errors: the plugin has no decoder, or the reason it gives.
proto::Result<std::string> decode(const Plugin& plugin, std::string_view descriptor_hex,
                                  std::string_view report_hex);

}  // namespace maslin::host
