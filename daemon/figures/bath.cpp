// `figure water-bath`, `sterilise`, `acid-dwell`, `lethality`.
#include <charconv>
#include <string>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/formula/formula.hpp"
#include "daemon/preserving/acid_dwell.hpp"
#include "daemon/preserving/lethality.hpp"
#include "daemon/preserving/process_times.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

using quantity::plain;

constexpr const char* kGuide = "USDA Complete Guide to Home Canning (AIB 539)";

// "0,140" rows; a first line of words is a heading, lines with # are notes. Empty with the number
// of the line that is none of these.
tl::expected<std::vector<preserving::Point>, int> profile_of(std::string_view text) {
  std::vector<preserving::Point> points;
  bool headed = false;
  for (int line = 1; !text.empty(); ++line) {
    const auto end = std::min(text.find('\n'), text.size());
    std::string_view row = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (row.ends_with('\r')) row.remove_suffix(1);
    if (row.empty() || row.starts_with('#')) continue;
    preserving::Point point{};
    const auto first = std::from_chars(row.data(), row.data() + row.size(), point.x);
    const char* last = row.data() + row.size();
    const bool comma = first.ec == std::errc() && first.ptr != last && *first.ptr == ',';
    const char* second = comma ? first.ptr + 1 : last;
    while (second != last && *second == ' ') ++second;
    const auto end_of_row = std::from_chars(second, last, point.y);
    if (comma && end_of_row.ec == std::errc() && end_of_row.ptr == last) {
      points.push_back(point);
    } else if (headed || !points.empty()) {
      return tl::unexpected(line);
    }
    headed = true;
  }
  return points;
}

}  // namespace

proto::Results<Figure> water_bath(Asked& asked) {
  const std::string product = asked.text_if_given("product").value_or("");
  const std::string jar = asked.text_if_given("jar").value_or("");
  const double altitude = asked.altitude_m("altitude");
  const auto ml = formula::jar_ml(jar, quantity::Cups::us_customary);
  if (!ml && asked.given("jar")) asked.refuse(ml.error().what, "jar", ml.error().todo);
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto time = preserving::process_time(product, *ml, altitude);
  if (!time) return refused(time.error());
  Figure figure;
  figure.fields = {{"minutes", static_cast<double>(time->minutes)},
                   {"sterilise_jars_minutes", static_cast<double>(time->sterilise_jars_minutes)},
                   {"pack", time->pack},
                   {"row", time->row}};
  figure.value = std::to_string(time->minutes) + " minutes from the hard boil, " + time->pack +
                 " pack; row " + time->row;
  if (time->sterilise_jars_minutes > 0) {
    figure.lines.push_back("the empty jars boil for " +
                           std::to_string(time->sterilise_jars_minutes) + " minutes first");
  }
  figure.lines.push_back(
      "for a tested formula of this kind only: where that prints another time, "
      "its time is right");
  figure.accuracy = time->checked ? "as printed; checked against copies of the source"
                                  : "FROM MEMORY: check it against your tested formula";
  figure.range =
      "smaller jars take the row in full; 1000 ft is in the first band, 1001 ft in the "
      "second";
  figure.source = kGuide;
  return figure;
}

proto::Results<Figure> sterilise(Asked& asked) {
  const double altitude = asked.altitude_m("altitude");
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto minutes = preserving::sterilise_minutes(altitude);
  if (!minutes) return refused(minutes.error());
  Figure figure;
  figure.fields = {{"minutes", static_cast<double>(*minutes)}};
  figure.value = std::to_string(*minutes) +
                 " minutes for the empty jars in boiling water, where the "
                 "process is shorter than ten minutes";
  figure.accuracy =
      "ten minutes, and one for each thousand feet reached: our reading of the wording";
  figure.range = "-430 to 8800 m";
  figure.source = kGuide;
  return figure;
}

proto::Results<Figure> acid_dwell(Asked& asked) {
  const auto temperature = asked.degrees("temperature");
  const double ph = asked.number("ph", Sign::above_zero);
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto found = preserving::acid_dwell(temperature.value, temperature.fahrenheit, ph);
  if (!found) return refused(found.error());
  Figure figure;
  figure.fields = {{"minutes", found->minutes}, {"row_c", found->row_c}, {"row_f", found->row_f}};
  figure.value = plain(found->minutes, 1) + " minutes at " + plain(found->row_c, 1) + " °C (" +
                 plain(found->row_f, 0) +
                 " °F) everywhere in the jar; FOR INFORMATION, to talk to a process authority with";
  figure.lines = {
      "it never takes the place of the time that a tested recipe prints, in the water bath or hot "
      "filled",
      "it speaks of germs that make ill, not of mould and yeast, and of no food over pH 4.6"};
  figure.accuracy = "as printed; between two rows the longer time of the cooler one";
  figure.range = "acidified foods of equilibrium pH 4.1 to 4.6; 60.6 to 82.2 °C, 141 to 180 °F";
  figure.source =
      "Breidt et al., Food Protection Trends 34(3) (2014) 132-138, table 4: five-log reduction";
  return figure;
}

proto::Results<Figure> lethality(Asked& asked) {
  const auto* file = asked.given("csv");
  const auto reference = asked.degrees("reference");
  const auto z = asked.degrees("z");
  if (asked.good() && reference.fahrenheit != z.fahrenheit) {
    asked.refuse("is in another unit than the reference", "z", "give both in the unit of the file");
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto profile = profile_of(file->text);
  if (!profile) {
    return tl::unexpected(
        proto::Troubles{{"that is no row of minutes and temperature",
                         file->file + ":" + std::to_string(profile.error()), "write \"12,203\""}});
  }
  const auto minutes = preserving::lethality_min(*profile, reference.value, z.value);
  if (!minutes) return refused(minutes.error());
  Figure figure;
  figure.fields = {{"minutes", *minutes}, {"rule", std::string("trapezoid over the lethal rate")}};
  figure.value = plain(*minutes, 3) +
                 " minutes at the reference; for information only: no process is "
                 "made of it and none shortened";
  figure.accuracy =
      "trapezoid rule over the lethal rate; the exact integral between two rows is up "
      "to some percent less";
  figure.range = "minutes and temperatures of the coldest place, in the unit of the reference";
  figure.source = "10^((T - reference) / z), the textbook definition";
  return figure;
}

}  // namespace maslin::figures
