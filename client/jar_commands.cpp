// The commands of jar_commands.hpp.
#include "client/jar_commands.hpp"

#include "client/ask.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

// What is said of a batch that has ended has no status worth a screen.
std::string noted(const proto::BatchStatus& status) {
  if (status.state == "running" || status.state == "held") return show(status);
  Page page;
  page.line("Noted for batch " + status.batch + "; maslin jars --batch " + status.batch +
            " shows its jars.");
  for (const auto& line : status.advice) page.line(line, 2, 2);
  return page.text();
}

int say(Wire& wire, const Order& order, const proto::JarRequest& request) {
  return ask<proto::BatchStatus>(wire, order, "batch_jars", proto::to_json(request), nullptr,
                                 noted);
}

}  // namespace

int say_yield(Wire& wire, const Order& order) {
  proto::JarRequest request;
  request.what = "yield";
  request.amount = order.text;
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

int amend(Wire& wire, const Order& order) {
  proto::AmendRequest request;
  request.batch = order.batch;
  request.what = order.amend_what;
  request.text = order.text;
  const std::string& value = order.amend_value;
  const auto equals = value.find('=');
  const std::string name = value.substr(0, equals);
  const std::string rest = equals == std::string::npos ? "" : value.substr(equals + 1);
  const bool mass = request.what == "weighed" || request.what == "added";
  const bool pair = mass || request.what == "swapped" || request.what == "lot";
  if (pair && (name.empty() || rest.empty())) {
    return refuse(order,
                  proto::Trouble{"'" + proto::excerpt(value, 60) + "' is not NAME=VALUE", "",
                                 "maslin amend --help shows how to write it"},
                  kUsage);
  }
  if (request.what == "jars") {
    request.count = order.count;
  } else if (request.what == "volume" || request.what == "brine") {
    request.amount = value;
  } else if (request.what == "vinegar") {
    if (!rest.empty()) request.of = name;
    const auto figure = percent_of(rest.empty() ? value : rest);
    if (!figure) return refuse(order, figure.error(), kUsage);
    request.figure = *figure;
  } else {
    request.of = name;
    (mass ? request.amount : request.with) = rest;
  }
  return ask<proto::BatchStatus>(wire, order, "batch_amend", proto::to_json(request), nullptr,
                                 noted);
}

// Names of neighbours are for the screen; what is printed as JSON goes who knows where.
int list_jars(Wire& wire, const Order& order) {
  return ask<proto::JarList>(
      wire, order, "jars",
      proto::to_json(proto::JarListRequest{order.batch, order.lot, order.all, !order.json}));
}

}  // namespace maslin::client
