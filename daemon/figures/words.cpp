// Numbers as text; see the header.
#include "daemon/figures/words.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

int places(double uncertainty) {
  if (uncertainty <= 0 || !std::isfinite(uncertainty)) return 3;
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(uncertainty))), 0, 9);
}

}  // namespace

std::string two_figures(double uncertainty) {
  return quantity::plain(uncertainty, places(uncertainty));
}

std::string to_places_of(double value, double uncertainty) {
  return quantity::plain(value, places(uncertainty));
}

proto::Results<Figure> refused(proto::Trouble trouble) {
  if (!trouble.where.empty()) trouble.where = "--" + trouble.where;
  return tl::unexpected(proto::Troubles{std::move(trouble)});
}

std::string degrees_of_freedom(double dof) {
  return std::isfinite(dof) ? quantity::plain(dof, 1) : "unlimited";
}

std::optional<weighing::ScaleClass> scale_class(Asked& asked) {
  const auto text = asked.text_if_given("class");
  if (!text) return std::nullopt;
  const auto found = weighing::scale_class_named(*text);
  if (!found) {
    asked.refuse("\"" + proto::excerpt(*text, 40) + "\" is no accuracy class", "class",
                 "write I, II, III or IIII, as on the scale's plate");
  }
  return found;
}

}  // namespace maslin::figures
