// The plan after an over-pour: more of what is short, or the smallest larger batch, around what is
// in already and cannot come out again. Called by the engine and by `figure rescue`. Pure.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "daemon/plan/plan.hpp"
#include "daemon/plan/rescue.hpp"

namespace maslin::plan {

// What is in of one ingredient, and how much of it the batch is to have.
struct Holding {
  std::string name;
  std::int64_t in_ug = 0;
  std::int64_t standard_uncertainty_ug = 0;
  std::int64_t want_ug = 0;  // in all; where not above in_ug, nothing more comes
  bool accepted = false;     // outside its band, and the cook has accepted that
};

struct TopUp {
  std::string name;
  std::int64_t add_ug = 0;
  bool chopped = false;  // prepared produce
  friend bool operator==(const TopUp&, const TopUp&) = default;
};

struct Enlarged {
  proto::Plan plan;
  double factor = 1;              // of the plan before it; 1: only topped up
  std::vector<TopUp> top_ups;     // of what is in already, in the formula's order
  std::vector<Holding> holdings;  // that the plan was made for
};

// Why there is no such batch. by: "largest multiple", "pan", "scale", "at hand", "ratio", "band",
// "plan"; what: the same in words; of: the ingredient or ratio, may be empty.
struct Blocked {
  std::string by;
  std::string of;
  std::string what;
};

// The smallest factor at which all that is in lies in band again, within the largest multiple, the
// pan, the scales, what is at hand (by the request) and the critical ratios with their guard; and
// what must be added. in: everything that was weighed or measured, the over-pour too; want_ug is
// not read.
tl::expected<Enlarged, Blocked> enlarge(const formula::Formula& formula,
                                        const proto::PlanRequest& request,
                                        const Equipment& equipment, const proto::Plan& current,
                                        std::span<const Holding> in);

// The plan at that factor of the formula around these holdings; the lead too is only one of them.
proto::Results<proto::Plan> plan_around(const formula::Formula& formula,
                                        const proto::PlanRequest& request,
                                        const Equipment& equipment, double factor,
                                        std::span<const Holding> holdings);

// The problem that enlarge() solves, in grams at the size as planned, before any rounding.
RescueProblem rescue_problem(const formula::Formula& formula, const proto::PlanRequest& request,
                             const Equipment& equipment, const proto::Plan& current,
                             std::span<const Holding> in);

}  // namespace maslin::plan
