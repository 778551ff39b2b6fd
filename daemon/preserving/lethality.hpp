// How much killing a temperature over time amounts to, for information only: no process is made of
// it, and none is shortened by it.
#pragma once

#include <span>

#include "daemon/preserving/curve.hpp"
#include "proto/trouble.hpp"

namespace maslin::preserving {

// Minutes at the reference temperature that do the same, by the trapezoid rule over the lethal rate
// 10^((T - reference) / z); the exact integral of a temperature that runs straight between two
// points is up to 6 % less. x: minutes, rising; y, reference and z in one unit of temperature.
proto::Result<double> lethality_min(std::span<const Point> profile, double reference, double z);

}  // namespace maslin::preserving
