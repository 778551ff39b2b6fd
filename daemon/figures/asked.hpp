// The options of one question: read with their units and checked, every fault noted. Each figure
// asks this for its values and makes its answer only where nothing was wrong.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::figures {

// One option as it was given: its name without dashes, and the text behind it. For an option that
// names a file the text is what the file holds.
struct Given {
  std::string option;
  std::string text;
  std::string file;
};

// What a number must be: above zero, zero or more, anything finite.
enum class Sign { above_zero, not_below_zero, any };

class Asked {
 public:
  explicit Asked(std::vector<Given> given) : given_(std::move(given)) {}

  // The value of an option, 0 with a trouble noted where it is no number or has the wrong unit, 0
  // where it is missing (which is noted before a figure is asked). Masses are in grams: "412.6",
  // "412.6 g", "0.4126 kg", "14.5 oz".
  double mass_g(std::string_view option, Sign sign = Sign::any);
  std::optional<double> mass_if_given_g(std::string_view option, Sign sign = Sign::any);
  // A share of 1, above 0 and below `most`: "0.05" or "5 %".
  double share(std::string_view option, double most);
  std::optional<double> share_if_given(std::string_view option, double most);
  // Percent: "2" or "2 %".
  double percent(std::string_view option, Sign sign = Sign::above_zero);
  // Acid of vinegar as labels state it, in percent: "5", "5 %", "50 grain".
  double strength_pct(std::string_view option);
  // "1590", "1590 kg/m3", "1.59 g/mL"
  std::optional<double> density_if_given_kg_m3(std::string_view option);
  // "20 C", "68 F"; within the two bounds.
  std::optional<double> celsius_if_given(std::string_view option, double coldest, double warmest);
  // Where two units are usual a number alone means nothing: "640 m", "2100 ft"; "1013.25 hPa",
  // "29.9 inHg"; "104.4 C", "220 F", as degrees Celsius.
  double altitude_m(std::string_view option);
  double pressure_pa(std::string_view option);
  double temperature_c(std::string_view option);
  // As it is written, with its unit: for a file whose figures are in the same.
  struct Degrees {
    double value = 0;
    bool fahrenheit = false;
  };
  Degrees degrees(std::string_view option);
  double number(std::string_view option, Sign sign = Sign::any);
  // The text of an option that may be left out, and of one that may stand again and again.
  std::optional<std::string> text_if_given(std::string_view option) const;
  std::vector<std::string> texts(std::string_view option) const;
  const Given* given(std::string_view option) const;  // the last of this name

  // For parts of an option's text.
  double mass_of(std::string_view option, std::string_view text, Sign sign = Sign::any);
  double volume_of_ml(std::string_view option, std::string_view text, Sign sign = Sign::any);
  double number_of(std::string_view option, std::string_view text, Sign sign = Sign::any);
  double dof_of(std::string_view option, std::string_view text);  // degrees of freedom, 1 or more

  void refuse(std::string what, std::string_view option, std::string todo);
  bool good() const { return troubles_.empty(); }
  const proto::Troubles& troubles() const { return troubles_; }

 private:
  const std::string* required(std::string_view option);
  double value_of(std::string_view option, Sign sign,
                  std::optional<double> (*factor)(std::string_view unit), const char* todo);
  double quantity_of(std::string_view option, std::string_view text, Sign sign,
                     std::optional<double> (*factor)(std::string_view unit), const char* todo);

  std::vector<Given> given_;
  proto::Troubles troubles_;
};

// "NAME=TEXT" at the first =, both without blanks around them; nullopt where one is missing.
std::optional<std::pair<std::string_view, std::string_view>> halves(std::string_view text,
                                                                    char between);

}  // namespace maslin::figures
