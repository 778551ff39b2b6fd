// The commands of jar_commands.hpp.
#include "client/jar_commands.hpp"

#include "client/ask.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

// What is said of a batch that has ended has no status worth a screen.
std::string noted(const proto::BatchStatus& status) {
  if (status.state == "running" || status.state == "held") return show(status);
  return Page()
      .line("Noted for batch " + status.batch + "; maslin jars --batch " + status.batch +
            " shows its jars.")
      .text();
}

int say(Wire& wire, const Order& order, const proto::JarRequest& request) {
  return ask<proto::BatchStatus>(wire, order, "batch_jars", proto::to_json(request), nullptr,
                                 noted);
}

}  // namespace

int say_yield(Wire& wire, const Order& order) {
  proto::JarRequest request;
  request.what = "yield";
  request.count = order.count;
  return say(wire, order, request);
}

int say_filled(Wire& wire, const Order& order) {
  proto::JarRequest request;
  request.what = "filled";
  request.count = order.count;
  request.part_filled = order.part_filled ? 1 : 0;
  return say(wire, order, request);
}

int say_seals(Wire& wire, const Order& order) {
  proto::JarRequest request;
  request.what = order.all ? "sealed" : "not sealed";
  request.count = order.count;
  if (!order.numbers.empty()) {
    const auto jars = numbers_of(order.numbers);
    if (!jars) return refuse(order, jars.error(), kUsage);
    request.jars = *jars;
  }
  return say(wire, order, request);
}

int say_where(Wire& wire, const Order& order) {
  proto::JarRequest request;
  request.batch = order.batch;
  // A new lid and the whole bath again is a step of the batch, not a place.
  const bool again = order.place == "process again";
  request.what = again ? order.place : "now";
  request.where = again ? "" : order.place;
  request.text = order.text;
  if (order.numbers != "all") {
    const auto jars = numbers_of(order.numbers);
    if (!jars) return refuse(order, jars.error(), kUsage);
    request.jars = *jars;
  }
  return say(wire, order, request);
}

// Names of neighbours are for the screen; what is printed as JSON goes who knows where.
int list_jars(Wire& wire, const Order& order) {
  return ask<proto::JarList>(
      wire, order, "jars",
      proto::to_json(proto::JarListRequest{order.batch, order.lot, order.all, !order.json}));
}

}  // namespace maslin::client
