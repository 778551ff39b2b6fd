// Small values inside the texts of a formula: bands, limits, times, temperatures. Internal to
// formula/. Troubles come without their place.
#pragma once

#include <cstdint>
#include <string_view>

#include "daemon/formula/formula.hpp"
#include "proto/trouble.hpp"

namespace maslin::formula {

// "5 %" of the mass, or "10 g" and other units of mass; in micrograms, above zero, at most the
// mass. Where the mass is not known (0), only what is wrong whatever it is.
proto::Result<std::int64_t> parse_band(std::string_view text, std::int64_t mass_ug);

// "1.2", "3/4" or "2.5 %" in millionths; where it has more digits, up for a least and down for a
// most.
proto::Result<std::int64_t> parse_limit(std::string_view text, bool least);

// "6.25 %" or "0.0625", sodium nitrite in a curing salt, in millionths of it; below 30 %.
proto::Result<std::int64_t> parse_nitrite(std::string_view text);

// "90 s", "10 min", "12 h", "14 days", "3 weeks" in milliseconds; at most 30 days.
proto::Result<std::int64_t> parse_time(std::string_view text);
// The same, of how long food keeps; at most two years.
proto::Result<std::int64_t> parse_keeping_time(std::string_view text);

// "900 g" or another unit of mass, in micrograms.
proto::Result<std::int64_t> parse_mass(std::string_view text);

// "85.6 %" in millionths; above 0 and below 100 %.
proto::Result<std::int64_t> parse_percent(std::string_view text);

// "85 °C" or "185 °F" in millikelvin, from 0 to 200 °C.
proto::Result<std::int64_t> parse_temperature(std::string_view text);

// "4.5 K", "4.5 °C" or "8 °F" as a difference in millikelvin, above zero, at most 40 K.
proto::Result<std::int64_t> parse_difference(std::string_view text);

// "10 min to 1000 ft" or, for what lies above all others, "15 min above".
proto::Result<BathRow> parse_bath_row(std::string_view text);

// "1 package = 49 g".
proto::Result<Weighs> parse_weighs(std::string_view text, quantity::Cups cups);

}  // namespace maslin::formula
