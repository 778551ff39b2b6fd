// One function a figure, each in a file of its own; the table in figures.cpp gives their options.
// Internal to figures/. A figure reads all its options before it returns troubles, so that all
// faults are named at once.
#pragma once

#include "daemon/figures/asked.hpp"
#include "daemon/figures/figure.hpp"

namespace maslin::figures {

proto::Results<Figure> weighing(Asked& asked);
proto::Results<Figure> conformity(Asked& asked);
proto::Results<Figure> guard(Asked& asked);
proto::Results<Figure> smallest(Asked& asked);
proto::Results<Figure> budget(Asked& asked);
proto::Results<Figure> scale(Asked& asked);
proto::Results<Figure> corner(Asked& asked);
proto::Results<Figure> warm_up(Asked& asked);
proto::Results<Figure> rescue(Asked& asked);
proto::Results<Figure> boiling(Asked& asked);
proto::Results<Figure> pressure(Asked& asked);
proto::Results<Figure> setting(Asked& asked);
proto::Results<Figure> probe(Asked& asked);
proto::Results<Figure> syrup(Asked& asked);
proto::Results<Figure> solids(Asked& asked);
proto::Results<Figure> water_activity(Asked& asked);
proto::Results<Figure> acidity(Asked& asked);
proto::Results<Figure> ph(Asked& asked);
proto::Results<Figure> brine(Asked& asked);
proto::Results<Figure> cure(Asked& asked);
proto::Results<Figure> nitrite(Asked& asked);
proto::Results<Figure> drying(Asked& asked);
proto::Results<Figure> water_bath(Asked& asked);
proto::Results<Figure> sterilise(Asked& asked);
proto::Results<Figure> acid_dwell(Asked& asked);
proto::Results<Figure> lethality(Asked& asked);
proto::Results<Figure> jelly_fruit(Asked& asked);
proto::Results<Figure> net_weight(Asked& asked);
proto::Results<Figure> platinum(Asked& asked);
proto::Results<Figure> grams(Asked& asked);
proto::Results<Figure> cautions(Asked& asked);

}  // namespace maslin::figures
