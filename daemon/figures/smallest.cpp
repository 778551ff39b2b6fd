// `figure smallest`: the smallest amount whose band a scale can judge.
#include <algorithm>
#include <cmath>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/conformity.hpp"

namespace maslin::figures {
namespace {

// The permissible error grows in steps with the load, so the smallest mass of one step may belong
// to the next: gone through upwards until it stays.
double smallest_g(double band_pct, weighing::ScaleClass of_class, double e,
                  weighing::NetBudget budget) {
  double mass = 0;
  for (int step = 0; step < 3; ++step) {
    budget.linearity_g = weighing::permissible_error_g(of_class, mass, e);
    const double next = weighing::smallest_checkable_mass_g(band_pct, budget);
    if (next <= mass) break;
    mass = next;
  }
  return mass;
}

}  // namespace

proto::Results<Figure> smallest(Asked& asked) {
  const double interval = asked.mass_g("interval", Sign::above_zero);
  const double band_pct = asked.percent("band-pct");
  const auto of_class = scale_class(asked);
  if (asked.good() && band_pct >= 100.0) {
    asked.refuse("a band of 100 % or more is none", "band-pct", "write percent: 2, \"2 %\"");
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const weighing::NetBudget budget{.interval_g = interval,
                                   .repeatability_g = weighing::kUsualRepeatability * interval};
  Figure figure;
  double mass = weighing::smallest_checkable_mass_g(band_pct, budget);
  if (of_class) {
    mass = std::max(smallest_g(band_pct, *of_class, interval, budget),
                    weighing::least_load_g(*of_class, interval));
    const double most = weighing::most_intervals(*of_class) * interval;
    if (most > 0 && mass > most) {
      figure.beyond = "a scale of class " + std::string(name(*of_class)) +
                      " with this interval ends at " + quantity::plain(most, 3) + " g";
    }
  }
  figure.fields = {{"mass_g", mass}};
  figure.value = quantity::plain(std::ceil(mass * 100.0) / 100.0, 2) +
                 " g and more can be checked to ± " + quantity::plain(band_pct, 3) + " %";
  figure.accuracy =
      "a pour on the middle of the band is then judged with 95 %; for one good pour "
      "in five at most left undecided the band needs one interval more";
  figure.range =
      std::string("net of two indications, repeatability a tenth of the interval") +
      (of_class ? ", an error within the class" : ", a scale without an error of its own");
  figure.source =
      "JCGM 106:2012 7.4 on the convolved budget; repeatability: common practice, no "
      "source";
  if (of_class) {
    figure.source += "; OIML R 76-1:2006 tables 3 and 6, in service twice (from memory)";
  }
  return figure;
}

}  // namespace maslin::figures
