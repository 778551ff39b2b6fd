// What would make a refused cure possible: how large a batch, or how fine a scale. Internal to
// plan/.
#pragma once

#include <string>

#include "daemon/formula/formula.hpp"
#include "daemon/plan/plan.hpp"
#include "daemon/plan/size.hpp"

namespace maslin::plan {

// "make a batch of at least 1400 g of pork loin, or use a scale with steps of 0.05 g or less";
// found by trying. Only what the formula's largest multiple allows; empty where neither would do.
std::string what_reaches(const formula::Formula& formula, const Size& size,
                         const Equipment& equipment);

}  // namespace maslin::plan
