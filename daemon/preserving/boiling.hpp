// Where water boils. plan/ resolves targets "above the boil" with it, the engine tells a boil by
// it.
#pragma once

#include <cstdint>

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Temperature in kelvin at which water boils under a pressure in pascals: IAPWS R7-97(2012), region
// 4, equation 31. Range 611.213 Pa to 22.064 MPa; an error outside and for NaN.
proto::Result<double> saturation_temperature_k(double pressure_pa);

// The other way round: equation 30. Range 273.15 K to 647.096 K.
proto::Result<double> saturation_pressure_pa(double temperature_k);

// Boiling point in millikelvin at an altitude in metres: the standard atmosphere's pressure there.
// The weather moves it by up to about 0.8 K. An error outside -430 m to 9,000 m.
proto::Result<std::int64_t> boiling_point_mk(double altitude_m);

}  // namespace maslin::preserving
