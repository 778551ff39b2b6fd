// Numbers of figures as text for people. Internal to figures/.
#pragma once

#include <string>

#include "daemon/figures/asked.hpp"
#include "daemon/figures/figure.hpp"
#include "daemon/weighing/scale_class.hpp"

namespace maslin::figures {

// An uncertainty to two figures: 0.8243 -> "0.82"; a value to as many places as its uncertainty
// has.
std::string two_figures(double uncertainty);
std::string to_places_of(double value, double uncertainty);

// A trouble of preserving/ as that of an option: it names the option without its dashes.
proto::Results<Figure> refused(proto::Trouble trouble);

// Degrees of freedom: "16", "unlimited".
std::string degrees_of_freedom(double dof);

// The option --class, nullopt where it is not given or (with a trouble noted) is none.
std::optional<weighing::ScaleClass> scale_class(Asked& asked);
// How the help describes it; the same for all figures that have it.
inline constexpr const char* kClassHelp =
    "accuracy class on the scale's plate, I to IIII: its permissible error counts as linearity";

}  // namespace maslin::figures
