// Bands, limits, times, temperatures; see the header.
#include "daemon/formula/values.hpp"

#include <algorithm>
#include <cctype>
#include <optional>
#include <string>

#include "daemon/quantity/decimal.hpp"

namespace maslin::formula {
namespace {

using quantity::Rational;
using quantity::Wide;

std::string quoted(std::string_view text) { return "\"" + std::string(text.substr(0, 60)) + "\""; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

// A number and what stands behind it. The unit begins at the first byte that is no digit, point,
// slash or space; that is a degree sign or a percent sign too.
struct Measured {
  Rational number;
  std::string_view unit;
};
std::optional<Measured> measured(std::string_view text) {
  text = trimmed(text);
  const std::size_t end = std::min(text.find_first_not_of("0123456789./ "), text.size());
  const auto number = quantity::parse_number(text.substr(0, end));
  if (!number) return std::nullopt;
  return Measured{*number, trimmed(text.substr(end))};
}

// number * n / d as a whole number; empty where it does not fit.
std::optional<std::int64_t> times(const Rational& number, std::int64_t n, std::int64_t d) {
  return quantity::rounded(Wide{number.numerator} * n, Wide{number.denominator} * d);
}

}  // namespace

proto::Result<std::int64_t> parse_band(std::string_view text, std::int64_t mass_ug) {
  constexpr std::string_view kHow = "write a share or a mass, such as \"5 %\" or \"10 g\"";
  constexpr std::int64_t kStandIn = 1'000'000'000;  // so that a share can be looked at alone
  const bool known = mass_ug > 0;
  std::optional<std::int64_t> width;
  const auto value = measured(text);
  const bool share_of_it = value && value->unit == "%";
  if (share_of_it) {
    // Reduced first, so that the product with a mass stays far from overflowing.
    if (const auto share =
            quantity::reduced(value->number.numerator, Wide{value->number.denominator} * 100)) {
      width = times(*share, known ? mass_ug : kStandIn, 1);
    }
  } else if (const auto amount = quantity::parse_amount(text)) {
    width = quantity::stated_micrograms(*amount);
  }
  if (!width) return proto::trouble("the band " + quoted(text) + " is none", {}, std::string(kHow));
  if (*width <= 0) {
    return proto::trouble("the band " + quoted(text) + " has no width", {},
                          "write how far off is still good; " + std::string(kHow));
  }
  if (!known && share_of_it && *width > kStandIn) {
    return proto::trouble("the band " + quoted(text) + " is wider than the amount", {},
                          "write at most \"100 %\"");
  }
  if (known && *width > mass_ug) {
    return proto::trouble(
        "the band " + quoted(text) + " is wider than the amount, " + quantity::grams(mass_ug), {},
        "write at most \"100 %\" or \"" + quantity::grams(mass_ug) + "\"");
  }
  return *width;
}

proto::Result<std::int64_t> parse_limit(std::string_view text, bool least) {
  const auto value = measured(text);
  auto number = value ? std::optional(value->number) : std::nullopt;
  if (value && value->unit == "%") {
    number = quantity::reduced(value->number.numerator, Wide{value->number.denominator} * 100);
  } else if (value && !value->unit.empty()) {
    number.reset();
  }
  if (!number || number->numerator == 0 || quantity::value(*number) > 1000.0) {
    return proto::trouble(
        "the limit " + quoted(text) + " is none", {},
        "write parts per part, such as \"1.2\" or \"3/4\", above 0 and at most 1000");
  }
  // 1/3 has no end in decimals: a least of 0.333333 would allow what 1/3 does not.
  const Wide scaled = Wide{number->numerator} * 1'000'000;
  const Wide whole = scaled / number->denominator;
  const bool exact = scaled % number->denominator == 0;
  return static_cast<std::int64_t>(whole) + (least && !exact ? 1 : 0);
}

proto::Result<std::int64_t> parse_nitrite(std::string_view text) {
  const auto value = measured(text);
  const bool percent = value && value->unit == "%";
  std::optional<std::int64_t> ppm;
  if (value && (percent || value->unit.empty())) {
    ppm = times(value->number, percent ? 10'000 : 1'000'000, 1);
  }
  constexpr std::int64_t kMost = 300'000;  // no curing salt has more (common practice, no source)
  if (ppm && *ppm > 0 && *ppm < kMost) return *ppm;
  const bool meant_percent =
      value && value->unit.empty() && ppm && *ppm >= kMost && *ppm < 100 * kMost;
  return proto::trouble("a curing salt with so much nitrite, " + quoted(text) + ", is none", {},
                        meant_percent
                            ? "percent is meant: write \"" + std::string(trimmed(text)) + " %\""
                            : "write what the label says, such as \"6.25 %\"");
}

proto::Result<std::int64_t> parse_mass(std::string_view text) {
  const auto amount = quantity::parse_amount(text);
  const auto mass = amount ? quantity::stated_micrograms(*amount) : std::nullopt;
  if (mass && *mass > 0) return *mass;
  return proto::trouble("the mass " + quoted(text) + " is none", {},
                        "write a mass above zero, such as \"900 g\" or \"2 lb\"");
}

namespace {

std::optional<std::int64_t> time_ms(std::string_view text) {
  const auto value = measured(text);
  std::optional<std::int64_t> ms;
  if (value && value->unit == "s") ms = times(value->number, 1000, 1);
  if (value && value->unit == "min") ms = times(value->number, 60'000, 1);
  if (value && value->unit == "h") ms = times(value->number, 3'600'000, 1);
  constexpr std::int64_t kDay = 86'400'000;
  if (value && (value->unit == "day" || value->unit == "days")) ms = times(value->number, kDay, 1);
  if (value && (value->unit == "week" || value->unit == "weeks")) {
    ms = times(value->number, 7 * kDay, 1);
  }
  return ms;
}

}  // namespace

proto::Result<std::int64_t> parse_keeping_time(std::string_view text) {
  const auto ms = time_ms(text);
  // Two years: beyond it somebody mistyped.
  constexpr std::int64_t kLongest = std::int64_t{730} * 24 * 3'600'000;
  if (ms && *ms > 0 && *ms <= kLongest) return *ms;
  return proto::trouble("\"" + std::string(text.substr(0, 40)) + "\" is no time to keep food for",
                        {}, "write days or weeks, such as \"21 days\", two years at most");
}

proto::Result<std::int64_t> parse_time(std::string_view text) {
  const auto ms = time_ms(text);
  // A month is longer than anything that is watched here; beyond it somebody mistyped.
  constexpr std::int64_t kLongest = std::int64_t{30} * 24 * 3'600'000;
  if (!ms || *ms <= 0 || *ms > kLongest) {
    return proto::trouble("the time " + quoted(text) + " is none", {},
                          "write a time above zero, such as \"90 s\", \"10 min\", \"12 h\" or \"14 "
                          "days\"");
  }
  return *ms;
}

proto::Result<std::int64_t> parse_percent(std::string_view text) {
  const auto value = measured(text);
  const auto ppm = value && value->unit == "%" ? times(value->number, 10'000, 1) : std::nullopt;
  if (ppm && *ppm > 0 && *ppm < 1'000'000) return *ppm;
  return proto::trouble("the share " + quoted(text) + " is none", {},
                        "write percent above 0 and below 100, such as \"85.6 %\"");
}

proto::Result<std::int64_t> parse_temperature(std::string_view text) {
  const auto value = measured(text);
  std::optional<std::int64_t> mk;
  if (value && value->unit == "°C") {
    mk = times(value->number, 1000, 1);
  } else if (value && value->unit == "°F" && quantity::value(value->number) < 1e6) {
    // (F - 32) * 5/9, all over one denominator.
    mk = quantity::rounded(
        (Wide{value->number.numerator} - Wide{32} * value->number.denominator) * 5000,
        Wide{value->number.denominator} * 9);
  }
  // Boiling sugar ends far below 200 °C (common practice, no source).
  if (!mk || *mk < 0 || *mk > 200'000) {
    return proto::trouble("the temperature " + quoted(text) + " is none that a pan has", {},
                          "write it as \"85 °C\" or \"185 °F\", from 0 to 200 °C");
  }
  return *mk + 273'150;
}

proto::Result<std::int64_t> parse_difference(std::string_view text) {
  const auto value = measured(text);
  std::optional<std::int64_t> mk;
  if (value && (value->unit == "K" || value->unit == "°C")) mk = times(value->number, 1000, 1);
  if (value && value->unit == "°F") mk = times(value->number, 5000, 9);
  if (!mk || *mk <= 0 || *mk > 40'000) {
    return proto::trouble("the difference " + quoted(text) + " is none", {},
                          "write it as \"4.5 °C\" or \"8 °F\", above 0 and at most 40 °C");
  }
  return *mk;
}

proto::Result<BathRow> parse_bath_row(std::string_view text) {
  const auto wrong = proto::trouble("the row " + quoted(text) + " is none", {},
                                    "write it as the source prints it: \"5 min to 1000 ft\", and "
                                    "\"15 min above\" for the last");
  constexpr std::string_view kAbove = " above";
  std::string_view time = trimmed(text);
  BathRow row;
  // Rows stay in minutes and feet as the source prints them: that is what a reader compares.
  if (time.ends_with(kAbove)) {
    time.remove_suffix(kAbove.size());
  } else {
    const std::size_t to = time.find(" to ");
    if (to == std::string_view::npos) return wrong;
    const auto altitude = measured(time.substr(to + 4));
    if (!altitude || altitude->unit != "ft" || altitude->number.denominator != 1) return wrong;
    row.to_ft = altitude->number.numerator;
    time = time.substr(0, to);
  }
  const auto minutes = measured(time);
  if (!minutes || minutes->unit != "min" || minutes->number.denominator != 1) return wrong;
  row.minutes = minutes->number.numerator;
  if (row.minutes < 1 || row.minutes > 1000) return wrong;
  return row;
}

proto::Result<Weighs> parse_weighs(std::string_view text, quantity::Cups cups) {
  constexpr std::string_view kHow = "write it as \"1 cup = 150 g\" or \"1 package = 49 g\"";
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) {
    return proto::trouble(quoted(text) + " does not say what weighs what", {}, std::string(kHow));
  }
  const auto amount = quantity::parse_amount(trimmed(text.substr(0, equals)));
  if (!amount) return tl::unexpected(amount.error());
  const auto mass = quantity::parse_amount(trimmed(text.substr(equals + 1)));
  if (!mass) return tl::unexpected(mass.error());
  const auto mass_ug = quantity::stated_micrograms(*mass);
  if (!mass_ug || *mass_ug <= 0 || quantity::kind(amount->measure) == quantity::MeasureKind::mass) {
    return proto::trouble(quoted(text) + " has no mass on its right or one on its left", {},
                          std::string(kHow));
  }
  return Weighs{*amount, *mass_ug, "the formula", cups};
}

}  // namespace maslin::formula
