// Critical ratios over weighed masses; see the header.
#include "daemon/plan/ratios.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/rational.hpp"
#include "daemon/weighing/conformity.hpp"

namespace maslin::plan {
namespace {

using quantity::Wide;

struct Group {
  std::int64_t mass_ug = 0;
  double variance = 0;  // g^2
  double worst = 0;     // greatest standard uncertainty of one of its weighings, g
};

// `shares`: as PlannedRatio::of_ppm; `up`: what is not whole micrograms is rounded up.
Group weigh_group(const std::vector<std::string>& names, const std::vector<std::int64_t>& shares,
                  bool up, std::span<const WeighedMass> weighed,
                  std::vector<std::string>& missing) {
  Group group;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const std::int64_t ppm = i < shares.size() ? shares[i] : 1'000'000;
    bool found = false;
    for (const WeighedMass& mass : weighed) {
      if (mass.name != names[i]) continue;
      found = true;
      const double u =
          static_cast<double>(mass.standard_uncertainty_ug) / 1e6 * static_cast<double>(ppm) / 1e6;
      group.mass_ug +=
          static_cast<std::int64_t>((Wide{mass.net_ug} * ppm + (up ? 999'999 : 0)) / 1'000'000);
      group.variance += u * u;
      group.worst = std::max(group.worst, u);
    }
    if (!found) missing.push_back(names[i]);
  }
  return group;
}

}  // namespace

RatioCheck check_ratio(const proto::PlannedRatio& ratio, std::span<const WeighedMass> weighed,
                       double spread) {
  RatioCheck check;
  const Group of = weigh_group(ratio.of_names, ratio.of_ppm, !ratio.least, weighed, check.missing);
  const Group per = weigh_group(ratio.per_names, {}, false, weighed, check.missing);
  if (!check.missing.empty()) return check;

  // limit * per may end between two micrograms: the margin is rounded down, never to the cook's
  // favour.
  constexpr Wide kMillion = 1'000'000;
  const Wide difference = Wide{of.mass_ug} * kMillion - Wide{per.mass_ug} * ratio.limit_ppm;
  const Wide inside = ratio.least ? difference : -difference;
  const Wide floor = inside >= 0 ? inside / kMillion : -((-inside + kMillion - 1) / kMillion);
  check.margin_ug = static_cast<std::int64_t>(floor);

  const double limit = static_cast<double>(ratio.limit_ppm) / 1e6;
  // Two nets weighed into one vessel share an indication, whose variance is at most half of either
  // net's. Which ones did is not asked here: one pair is always taken to, which only makes the
  // guard larger.
  const double shared = std::min(of.worst, per.worst);
  const double standard_g =
      std::sqrt(of.variance + limit * limit * per.variance + limit * shared * shared);
  const double guard_g =
      weighing::critical_guard_g(standard_g, static_cast<double>(of.mass_ug) / 1e6, spread);
  check.guard_ug = static_cast<std::int64_t>(std::ceil(guard_g * 1e6));

  if (inside < 0) {
    check.state = RatioState::broken;
  } else {
    check.state = check.margin_ug >= check.guard_ug ? RatioState::satisfied : RatioState::undecided;
  }
  if (check.state == RatioState::satisfied) return check;
  // More of the one side mends a least, more of the other a most. To a tenth of a gram, upwards.
  const double short_of = static_cast<double>(check.guard_ug - check.margin_ug);
  const double needed = ratio.least ? short_of : short_of / limit;
  check.add = ratio.least ? ratio.of : ratio.per;
  check.add_ug = quantity::multiple_above(static_cast<std::int64_t>(std::ceil(needed)), 100'000);
  return check;
}

}  // namespace maslin::plan
