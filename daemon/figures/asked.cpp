// Reading options; see the header.
#include "daemon/figures/asked.hpp"

#include <charconv>
#include <cmath>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/household.hpp"

namespace maslin::figures {
namespace {

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

std::optional<double> grams_in(std::string_view unit) {
  if (unit.empty()) return 1.0;
  if (unit == "mg") return 1e-3;
  const auto one = quantity::parse_amount("1 " + std::string(unit));
  if (!one) return std::nullopt;
  const auto micrograms = quantity::stated_micrograms(*one);
  if (!micrograms) return std::nullopt;
  return static_cast<double>(*micrograms) / 1e6;
}

std::optional<double> kg_m3_in(std::string_view unit) {
  if (unit.empty() || unit == "kg/m3" || unit == "kg/m³" || unit == "g/L") return 1.0;
  if (unit == "g/mL" || unit == "g/ml" || unit == "g/cm3" || unit == "g/cm³" || unit == "kg/L") {
    return 1000.0;
  }
  return std::nullopt;
}

std::optional<double> millilitres_in(std::string_view unit) {
  if (unit.empty() || unit == "mL" || unit == "ml") return 1.0;
  return unit == "L" || unit == "l" ? std::optional(1000.0) : std::nullopt;
}

std::optional<double> plain_number(std::string_view unit) {
  return unit.empty() ? std::optional(1.0) : std::nullopt;
}

std::optional<double> share_in(std::string_view unit) {
  if (unit.empty()) return 1.0;
  return unit == "%" ? std::optional(0.01) : std::nullopt;
}

std::optional<double> percent_in(std::string_view unit) {
  return unit.empty() || unit == "%" ? std::optional(1.0) : std::nullopt;
}

// Ten grain of vinegar are one percent of acid.
std::optional<double> strength_in(std::string_view unit) {
  return unit == "grain" ? std::optional(0.1) : percent_in(unit);
}

std::optional<double> metres_in(std::string_view unit) {
  if (unit == "m" || unit == "metres") return 1.0;
  return unit == "ft" || unit == "feet" ? std::optional(0.3048)
                                        : std::nullopt;  // the international foot
}

std::optional<double> pascals_in(std::string_view unit) {
  if (unit == "Pa") return 1.0;
  if (unit == "hPa" || unit == "mbar") return 100.0;
  if (unit == "kPa") return 1000.0;
  if (unit == "inHg") return 3386.389;  // NIST SP 811, of mercury at 0 °C
  return std::nullopt;
}

std::optional<double> degree_in(std::string_view unit) {
  const bool known = unit == "C" || unit == "°C" || unit == "F" || unit == "°F";
  return known ? std::optional(1.0) : std::nullopt;
}

constexpr const char* kTemperature = "write the unit too: \"104.4 C\", \"220 F\"";

constexpr const char* kMass =
    "write a number, in grams or with its unit: 412.6, \"412.6 g\", "
    "\"0.4126 kg\"";
constexpr const char* kShare = "write a share or percent: 0.05, \"5 %\"";

}  // namespace

const Given* Asked::given(std::string_view option) const {
  const Given* last = nullptr;
  for (const Given& one : given_) {
    if (one.option == option) last = &one;
  }
  return last;
}

const std::string* Asked::required(std::string_view option) {
  const Given* one = given(option);
  return one ? &one->text : nullptr;
}

void Asked::refuse(std::string what, std::string_view option, std::string todo) {
  troubles_.push_back({std::move(what), "--" + std::string(option), std::move(todo)});
}

double Asked::quantity_of(std::string_view option, std::string_view text, Sign sign,
                          std::optional<double> (*factor)(std::string_view unit),
                          const char* todo) {
  const std::string shown = "\"" + proto::excerpt(text, 60) + "\"";
  std::string_view rest = trimmed(text);
  if (rest.starts_with("+")) rest.remove_prefix(1);
  double value = 0;
  const auto [end, fault] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  if (fault != std::errc() || !std::isfinite(value)) {
    refuse(shown + " does not begin with a number", option, todo);
    return 0;
  }
  const auto scale = factor(trimmed(rest));
  if (!scale) {
    const bool bare = trimmed(rest).empty();
    refuse(shown + (bare ? " has no unit" : " is not understood behind its number"), option, todo);
    return 0;
  }
  const bool wrong =
      (sign == Sign::above_zero && value <= 0) || (sign == Sign::not_below_zero && value < 0);
  if (wrong) {
    refuse(shown + (sign == Sign::above_zero ? " is not above zero" : " is below zero"), option,
           sign == Sign::above_zero ? "give a value above zero" : "give zero or more");
    return 0;
  }
  return value * *scale;
}

double Asked::mass_of(std::string_view option, std::string_view text, Sign sign) {
  return quantity_of(option, text, sign, grams_in, kMass);
}

double Asked::volume_of_ml(std::string_view option, std::string_view text, Sign sign) {
  return quantity_of(option, text, sign, millilitres_in, "write millilitres: 1000, \"1 L\"");
}

double Asked::number_of(std::string_view option, std::string_view text, Sign sign) {
  return quantity_of(option, text, sign, plain_number, "write a number without a unit: 12.5");
}

double Asked::dof_of(std::string_view option, std::string_view text) {
  const std::size_t before = troubles_.size();
  const double dof = number_of(option, text, Sign::above_zero);
  if (troubles_.size() == before && dof < 1) {
    refuse("degrees of freedom below 1", option, "give how many readings, less one: 0.1:9");
  }
  return dof;
}

double Asked::mass_g(std::string_view option, Sign sign) {
  return value_of(option, sign, grams_in, kMass);
}

std::optional<double> Asked::mass_if_given_g(std::string_view option, Sign sign) {
  const Given* one = given(option);
  return one ? std::optional(mass_of(option, one->text, sign)) : std::nullopt;
}

double Asked::share(std::string_view option, double most) {
  return required(option) ? share_if_given(option, most).value_or(0) : 0;
}

std::optional<double> Asked::share_if_given(std::string_view option, double most) {
  const Given* one = given(option);
  if (!one) return std::nullopt;
  const std::size_t before = troubles_.size();
  const double value = quantity_of(option, one->text, Sign::above_zero, share_in, kShare);
  if (troubles_.size() == before && value >= most) {
    refuse("\"" + proto::excerpt(one->text, 60) + "\" is too large a share", option, kShare);
  }
  return value;
}

double Asked::percent(std::string_view option, Sign sign) {
  return value_of(option, sign, percent_in, "write percent: 2, \"2 %\"");
}

double Asked::strength_pct(std::string_view option) {
  return value_of(option, Sign::above_zero, strength_in,
                  "write it as the label: \"5 %\", \"50 grain\"");
}

double Asked::value_of(std::string_view option, Sign sign,
                       std::optional<double> (*factor)(std::string_view unit), const char* todo) {
  const std::string* text = required(option);
  return text ? quantity_of(option, *text, sign, factor, todo) : 0;
}

double Asked::altitude_m(std::string_view option) {
  return value_of(option, Sign::any, metres_in, "write the unit too: \"640 m\", \"2100 ft\"");
}

double Asked::pressure_pa(std::string_view option) {
  return value_of(option, Sign::above_zero, pascals_in,
                  "write the unit too: \"1013.25 hPa\", \"29.9 inHg\"");
}

double Asked::number(std::string_view option, Sign sign) {
  return value_of(option, sign, plain_number, "write a number without a unit: 12.5");
}

Asked::Degrees Asked::degrees(std::string_view option) {
  const std::string* text = required(option);
  if (!text) return {};
  return {quantity_of(option, *text, Sign::any, degree_in, kTemperature),
          trimmed(*text).ends_with('F')};
}

double Asked::temperature_c(std::string_view option) {
  const Degrees given = degrees(option);
  return given.fahrenheit ? (given.value - 32) / 1.8 : given.value;
}

std::optional<double> Asked::density_if_given_kg_m3(std::string_view option) {
  constexpr const char* kDensity = "write kg/m3, or a number with its unit: 1590, \"1.59 g/mL\"";
  const Given* one = given(option);
  if (!one) return std::nullopt;
  const std::size_t before = troubles_.size();
  const double value = quantity_of(option, one->text, Sign::above_zero, kg_m3_in, kDensity);
  // 1.59 without a unit would be lighter than a gas.
  if (troubles_.size() == before && value < 20) {
    refuse("\"" + proto::excerpt(one->text, 60) + "\" is no density of a food in kg/m3", option,
           kDensity);
  }
  return value;
}

std::optional<double> Asked::celsius_if_given(std::string_view option, double coldest,
                                              double warmest) {
  const Given* one = given(option);
  if (!one) return std::nullopt;
  const std::size_t before = troubles_.size();
  const double value = temperature_c(option);
  if (troubles_.size() == before && (value < coldest || value > warmest)) {
    refuse("\"" + proto::excerpt(one->text, 60) + "\" is outside " + quantity::plain(coldest, 1) +
               " to " + quantity::plain(warmest, 1) + " °C",
           option, "give a temperature within them");
  }
  return value;
}

std::optional<std::string> Asked::text_if_given(std::string_view option) const {
  const Given* one = given(option);
  return one ? std::optional(one->text) : std::nullopt;
}

std::vector<std::string> Asked::texts(std::string_view option) const {
  std::vector<std::string> all;
  for (const Given& one : given_) {
    if (one.option == option) all.push_back(one.text);
  }
  return all;
}

std::optional<std::pair<std::string_view, std::string_view>> halves(std::string_view text,
                                                                    char between) {
  const std::size_t at = text.find(between);
  if (at == std::string_view::npos) return std::nullopt;
  const auto first = trimmed(text.substr(0, at));
  const auto second = trimmed(text.substr(at + 1));
  if (first.empty() || second.empty()) return std::nullopt;
  return std::pair(first, second);
}

}  // namespace maslin::figures
