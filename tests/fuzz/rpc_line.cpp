// A line from a client: the envelope, then its parameters as every method would read them.
#include "proto/json.hpp"
#include "proto/methods.hpp"
#include "proto/rpc.hpp"
#include "tests/fuzz/promise.hpp"

namespace {

template <class Params>
void read_as(const std::string& text) {
  const auto params = maslin::proto::from_json<Params>(text);
  if (!params) return;
  const std::string written = maslin::proto::to_json(*params);
  const auto again = maslin::proto::from_json<Params>(written);
  maslin::fuzz::promise(again.has_value() && maslin::proto::to_json(*again) == written);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto line = fuzz::text(data, size);
  (void)proto::read_message(line);
  const auto call = proto::read_call(line);
  if (!call) {
    fuzz::promise(!call.error().fault.troubles.empty());
    const auto fault = proto::write_fault(call.error().id, call.error().fault);
    fuzz::promise(proto::read_message(fault).has_value());
    return 0;
  }
  read_as<proto::Hello>(call->params);
  read_as<proto::FormulaCheck>(call->params);
  read_as<proto::PlanRequest>(call->params);
  read_as<proto::Assign>(call->params);
  read_as<proto::Settings>(call->params);
  read_as<proto::BatchWord>(call->params);
  read_as<proto::LinesRequest>(call->params);
  read_as<proto::ReviewRequest>(call->params);
  (void)proto::merged(proto::Settings{}, call->params);
  return 0;
}
