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
proto::Results<Figure> rescue(Asked& asked);

}  // namespace maslin::figures
