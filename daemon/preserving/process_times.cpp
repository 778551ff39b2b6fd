// Process times; see the header.
#include "daemon/preserving/process_times.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

constexpr double foot_m = 0.3048;
constexpr double pint_ml = 473.176473;
constexpr double half_pint_ml = pint_ml / 2;
constexpr double same_jar = 1.06;  // 250 mL stands for a half-pint, 500 mL for a pint
constexpr double highest_printed_ft = 10'000;
constexpr std::int64_t no_upper_ft = 0;
constexpr std::int64_t sterile_from_min = 10;

struct Row {
  std::int64_t to_ft;  // no_upper_ft: above all others
  std::int64_t minutes;
};
struct Product {
  std::string_view name;
  std::string_view pack;
  double largest_ml;
  std::string_view jars;
  bool checked;
  std::array<Row, 4> rows;   // unused ones repeat the last
  std::string_view refused;  // why there is no time; rows are then not read
};

// USDA Complete Guide to Home Canning (AIB 539).
constexpr std::array products = {
    Product{"jelly or jam",
            "hot",
            pint_ml,
            "half-pint or pint",
            true,
            {{{1000, 5}, {6000, 10}, {no_upper_ft, 15}, {no_upper_ft, 15}}},
            ""},
    Product{"yellow pepper rings, pickled",
            "raw",
            pint_ml,
            "pint",
            true,
            {{{1000, 10}, {6000, 15}, {no_upper_ft, 20}, {no_upper_ft, 20}}},
            ""},
    Product{"hot pepper rings, pickled",
            "raw",
            pint_ml,
            "half-pint or pint",
            false,
            {{{1000, 10}, {6000, 15}, {no_upper_ft, 20}, {no_upper_ft, 20}}},
            ""},
    Product{"peaches",
            "hot",
            pint_ml,
            "pint",
            true,
            {{{1000, 20}, {3000, 25}, {6000, 30}, {no_upper_ft, 35}}},
            ""},
    // Prints 20 minutes in two bands, not 25 in the second of them.
    Product{"apricot-pineapple reduced-sugar spread",
            "hot",
            half_pint_ml,
            "half-pint",
            true,
            {{{1000, 15}, {3000, 20}, {6000, 20}, {no_upper_ft, 25}}},
            ""},
    Product{"plain peppers",
            "hot",
            pint_ml,
            "",
            true,
            {},
            "plain peppers are low in acid: a pressure canner only, never a water bath"},
    Product{"vegetables in water",
            "hot",
            pint_ml,
            "",
            true,
            {},
            "vegetables in water are low in acid: a pressure canner only, never a water bath"}};

// "jelly or jam" is meant by each of the two as well.
bool is_called(std::string_view name, std::string_view product) {
  for (std::string_view rest = name; !rest.empty();) {
    constexpr std::string_view either = " or ";
    const auto end = std::min(rest.find(either), rest.size());
    if (rest.substr(0, end) == product) return true;
    rest.remove_prefix(std::min(end + either.size(), rest.size()));
  }
  return name == product;
}

// A band ends with its whole foot: what lies above belongs to the next.
proto::Result<double> feet_of(double altitude_m, double highest_ft) {
  const double feet = altitude_m / foot_m;
  if (!(altitude_m >= quantity::kLowestAltitudeM && feet <= highest_ft)) {
    return proto::trouble("there are no times for that altitude", "altitude",
                          "give metres or feet of the kitchen, from -430 m to " +
                              quantity::plain(highest_ft * foot_m, 0) + " m");
  }
  // A thousandth of a foot is the conversion of an edge that was told in metres.
  return std::round(feet * 1000) / 1000;
}

}  // namespace

std::vector<std::string_view> process_products() {
  std::vector<std::string_view> names;
  names.reserve(products.size());
  for (const auto& one : products) names.push_back(one.name);
  return names;
}

proto::Result<ProcessTime> process_time(std::string_view product, double jar_ml,
                                        double altitude_m) {
  const auto found = std::find_if(products.begin(), products.end(),
                                  [&](const auto& one) { return is_called(one.name, product); });
  if (found == products.end()) {
    std::string names;
    for (const auto& one : products) {
      if (one.refused.empty())
        names += (names.empty() ? "\"" : ", \"") + std::string(one.name) + "\"";
    }
    return proto::trouble(
        "no printed time is known for \"" + std::string(product.substr(0, 60)) + "\"", "product",
        "plain vegetables, meat and fish are low in acid: a pressure canner only, never a water "
        "bath; for anything else take the time of your tested formula; known here: " +
            names);
  }
  if (!found->refused.empty()) {
    return proto::trouble(std::string(found->refused), "product",
                          "follow a tested recipe for a pressure canner");
  }
  if (!(jar_ml > 0 && jar_ml <= found->largest_ml * same_jar)) {
    return proto::trouble(
        "no printed time is known for jars of " + quantity::plain(jar_ml, 0) + " mL", "jar",
        "take jars of " + std::string(found->jars) + " or smaller");
  }
  const auto feet = feet_of(altitude_m, highest_printed_ft);
  if (!feet) return tl::unexpected(feet.error());
  ProcessTime time;
  std::int64_t from_ft = 0;
  for (const Row& row : found->rows) {
    if (row.to_ft != no_upper_ft && *feet > static_cast<double>(row.to_ft)) {
      from_ft = row.to_ft + 1;
      continue;
    }
    time.minutes = row.minutes;
    time.row =
        (row.to_ft == no_upper_ft ? "above " + std::to_string(from_ft - 1)
                                  : std::to_string(from_ft) + " to " + std::to_string(row.to_ft)) +
        " ft, " + std::string(found->jars);
    break;
  }
  time.pack = found->pack;
  time.checked = found->checked;
  if (time.minutes < sterile_from_min) {
    const auto sterilise = sterilise_minutes(altitude_m);
    if (!sterilise) return tl::unexpected(sterilise.error());
    time.sterilise_jars_minutes = *sterilise;
  }
  return time;
}

proto::Result<std::int64_t> sterilise_minutes(double altitude_m) {
  const auto feet = feet_of(altitude_m, quantity::kHighestAltitudeM / foot_m);
  if (!feet) return tl::unexpected(feet.error());
  constexpr std::int64_t base = 10;
  return base + std::max<std::int64_t>(0, static_cast<std::int64_t>(std::floor(*feet / 1000)));
}

}  // namespace maslin::preserving
