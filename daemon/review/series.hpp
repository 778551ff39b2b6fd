// The figures of a batch that can be held against those of other batches, each with how it is found
// in a report. Called by `outcomes` and `charts`. Private to review/.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "proto/report.hpp"

namespace maslin::review {

struct Value {
  double value = 0;
  double expanded_uncertainty = 0;  // 95 %; 0 where none is known
};

struct BatchFigure {
  std::string name;
  std::string unit;  // "% off its aim", "min"
  int decimals = 1;
  // What it is to the cook: chosen before the batch, poured to an aim, or what came of it.
  enum class Is { chosen, poured, found } is = Is::found;
  // Of a critical limit: it stands at a least, or a most; empty where the figure has none.
  std::optional<bool> at_least;
  std::function<std::optional<Value>(const proto::Report&)> of;
};

// Of all these reports, in the order of their first appearance.
std::vector<BatchFigure> batch_figures(std::span<const proto::Report* const> reports);

}  // namespace maslin::review
