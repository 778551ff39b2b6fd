// Water as a known mass; see the header.
#include "daemon/weighing/water.hpp"

#include <cmath>

#include "daemon/weighing/buoyancy.hpp"

namespace maslin::weighing {

double water_density_kg_m3(double celsius) {
  constexpr double a1 = -3.983035, a2 = 301.797, a3 = 522528.9, a4 = 69.34881, a5 = 999.974950;
  const double from_densest = celsius + a1;
  return a5 * (1.0 - from_densest * from_densest * (celsius + a2) / (a3 * (celsius + a4)));
}

KnownMass known_mass(const Water& water) {
  const auto per_ml = [](double celsius) {
    const double density = water_density_kg_m3(celsius);
    return density / 1000.0 / mass_per_indication(density);
  };
  const double at = per_ml(water.celsius);
  const double per_kelvin = (per_ml(water.celsius + 0.5) - per_ml(water.celsius - 0.5));
  return {.mass_g = water.volume_ml * at,
          .standard_g = std::hypot(water.standard_ml * at,
                                   water.volume_ml * per_kelvin * water.standard_celsius)};
}

}  // namespace maslin::weighing
