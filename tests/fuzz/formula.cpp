// A formula's text, and the plan that is made of it where it is good.
#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"
#include "tests/fuzz/promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto formula = formula::read(fuzz::text(data, size), "fuzz.toml");
  if (!formula) {
    fuzz::promise(!formula.error().empty());
    return 0;
  }
  for (const double factor : {1.0, 0.5, 1e9}) {
    proto::PlanRequest request;
    request.factor = factor;
    const auto made = plan::make(*formula, request, {});
    fuzz::promise(made.has_value() || !made.error().empty());
  }
  return 0;
}
