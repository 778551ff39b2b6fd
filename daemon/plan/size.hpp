// How large a batch is to be: by what is at hand, by jars or by factor. Internal to plan/.
#pragma once

#include <cstdint>
#include <vector>

#include "daemon/formula/formula.hpp"
#include "proto/plan.hpp"
#include "proto/trouble.hpp"

namespace maslin::plan {

struct Have {
  const formula::Ingredient* ingredient = nullptr;
  std::int64_t mass_ug = 0;
  bool by_mass = false;  // stated in grams or the like, not counted or in cups
};

struct Size {
  double factor = 1;
  std::vector<Have> haves;
  bool lead_known = false;   // the prepared weight of the lead was stated, or it is on the scale
  std::int64_t pots = 1;     // so many of this size, one after the other
  std::string limited_by;    // the scarcest of what is at hand: "the onion, 640 g"; may be empty
  std::int64_t lead_ug = 0;  // then: that weight; may be over its nominal by up to its band
};

// The size that was asked for; what is out of range is refused with the range.
proto::Results<Size> size_of(const formula::Formula& formula, const proto::PlanRequest& request);

// The size that the weighed lead sets within the same request.
proto::Results<Size> size_by_lead(const formula::Formula& formula,
                                  const proto::PlanRequest& request, std::int64_t lead_net_ug);

}  // namespace maslin::plan
