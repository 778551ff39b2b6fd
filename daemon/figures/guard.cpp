// `figure guard`: how far inside a limit a value must lie for a stated risk.
#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/coverage.hpp"

namespace maslin::figures {

proto::Results<Figure> guard(Asked& asked) {
  const double u = asked.mass_g("uncertainty", Sign::not_below_zero);
  const double risk = asked.share("risk", 0.5);
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const double factor = weighing::normal_point(1.0 - risk);
  Figure figure;
  figure.fields = {{"guard_band_g", factor * u}, {"factor", factor}};
  figure.value = two_figures(factor * u) + " g inside the limit";
  figure.accuracy =
      "what lies exactly there is beyond the limit with " + quantity::plain(100.0 * risk, 3) + " %";
  figure.range =
      "one limit, a normal error, nothing known of the value before; for a critical "
      "limit the plan adds the cook's own spread";
  figure.source = "JCGM 106:2012 8.3.2";
  return figure;
}

}  // namespace maslin::figures
