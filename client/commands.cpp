// The commands of `maslin`: parameters to the wire, results to a screen.
#include "client/commands.hpp"

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <map>
#include <tuple>

#include "client/ask.hpp"
#include "client/follow.hpp"
#include "client/jar_commands.hpp"
#include "client/places.hpp"
#include "client/show.hpp"
#include "client/terminal.hpp"
#include "client/text.hpp"
#include "proto/cues.hpp"
#include "proto/screen_text.hpp"

namespace maslin::client {
namespace {

std::string nothing(const Order&) { return "{}"; }

std::string batch_word(const Order& order) {
  return proto::to_json(proto::BatchWord{order.batch, order.text});
}

// The formula travels by content: the daemon opens no file that a client names.
std::string plan_request(const Order& order) {
  proto::PlanRequest request;
  request.text = order.read->text;
  request.file = order.read->file;
  request.have = order.have;
  request.jars = order.jars;
  request.factor = order.factor;
  request.keeping = order.keeping;
  request.units = order.units;
  request.parent = order.parent;
  return proto::to_json(request);
}

int calibrate(Wire& wire, const Order& order) {
  proto::CalibrateRequest request;
  request.role = order.role;
  request.what = order.calibration;
  request.known_g = order.known_g.value_or(0);
  request.known_ml = order.known_ml.value_or(0);
  request.celsius = order.celsius.value_or(request.celsius);
  request.within = order.within;
  request.pressure_hpa = order.pressure_hpa;
  const bool probe = order.role != "bench" && order.role != "fine";
  if (!order.json && probe && (request.what == "ice" || request.what == "boiling")) {
    std::puts(
        "Hold the tip still. Waiting for the thermometer to come to rest, up to two minutes ...");
    std::fflush(stdout);
  }
  if (!order.json && !probe && (request.what == "begin" || request.what == "load")) {
    std::puts(request.what == "begin"
                  ? "The pan must be empty. Waiting for the scale to come to rest ..."
                  : "Put the mass on. Waiting for the scale to come to rest with it ...");
    std::fflush(stdout);
  }
  return ask<proto::CalibrationStatus>(wire, order, "calibrate", proto::to_json(request),
                                       [](const proto::CalibrationStatus& status) {
                                         return status.state == "refused" ? kRefused : kDone;
                                       });
}

int rate(Wire& wire, const Order& order) {
  return ask<proto::BatchStatus>(wire, order, "batch_rate",
                                 proto::to_json(proto::RateRequest{
                                     order.batch, order.set, order.heat, order.pieces, order.text}),
                                 nullptr, [](const proto::BatchStatus& status) {
                                   return Page()
                                       .line("Noted for batch " + status.batch +
                                             "; maslin report " + status.batch + " shows it.")
                                       .list("What can be done", status.advice)
                                       .text();
                                 });
}

// Soluble solids or a pH, read off an instrument that is not plugged in.
int measure(Wire& wire, const Order& order) {
  proto::MeasureRequest request;
  request.batch = order.batch;
  request.what = order.command;
  // Without the temperature of its sample a refractometer corrects itself.
  request.with = order.command == "ph" ? (order.with.empty() ? "meter" : order.with)
                 : order.celsius       ? "refractometer"
                                       : "refractometer that corrects itself";
  request.value = order.value;
  request.interval = order.interval;
  request.temperature_c = order.celsius;
  if (order.low) std::tie(request.low_buffer, request.low_shown) = *order.low;
  if (order.high) std::tie(request.high_buffer, request.high_shown) = *order.high;
  request.hours = order.hours;
  request.jar = order.jar;
  request.text = order.text;
  return ask<proto::BatchStatus>(wire, order, "batch_measure", proto::to_json(request), nullptr,
                                 [](const proto::BatchStatus& status) {
                                   Page page;
                                   for (const auto& line : status.advice) page.line(line);
                                   return page.text();
                                 });
}

int check(Wire& wire, const Order& order) {
  return ask<proto::FormulaChecked>(
      wire, order, "formula_check",
      proto::to_json(proto::FormulaCheck{order.read->text, order.read->file}),
      [](const proto::FormulaChecked& checked) { return checked.good ? kDone : kRefused; },
      [&](const proto::FormulaChecked& checked) { return show(checked, order.read->file); });
}

int plan(Wire& wire, const Order& order) {
  return ask<proto::Plan>(wire, order, "plan_make", plan_request(order));
}

int start(Wire& wire, const Order& order) {
  if (order.follow) return follow(wire, {order.plain, order.json, plan_request(order)});
  return ask<proto::BatchStatus>(
      wire, order, "batch_start", plan_request(order), nullptr,
      [](const auto& status) { return show(status) + show_notes(status); });
}

int word(Wire& wire, const Order& order) {
  return ask<proto::BatchStatus>(wire, order, "batch_" + order.command, batch_word(order));
}

// Long texts come in pages; each is printed as it comes.
int pages(Wire& wire, const Order& order) {
  proto::Lines all;
  for (std::int64_t from = 0; from >= 0;) {
    const auto answer =
        wire.call("batch_" + order.command, proto::to_json(proto::LinesRequest{order.batch, from}));
    if (!answer) return refuse(order, answer.error());
    const auto lines = proto::from_json<proto::Lines>(*answer);
    if (!lines) return refuse(order, lines.error());
    all.batch = lines->batch;
    for (const std::string& line : lines->lines) {
      if (order.json) {
        all.lines.push_back(line);
      } else {
        constexpr std::size_t after_clock = 9;  // "0:03:12  "
        std::fputs(order.command == "log" ? whole_line(line, after_clock).c_str()
                                          : (clean(line) + "\n").c_str(),
                   stdout);
      }
    }
    // A page that does not move on would be asked for without end.
    from = lines->next_line > from ? lines->next_line : -1;
  }
  return order.json ? print_json(proto::to_json(all)) : kDone;
}

using Command = std::function<int(Wire&, const Order&)>;

// What is told now is for the next batch.
void say_of_running(Wire& wire) {
  const auto answer = wire.call("batch_status", "{}");
  const auto status =
      answer ? proto::from_json<proto::BatchStatus>(*answer) : proto::Result<proto::BatchStatus>();
  if (!status || (status->state != "running" && status->state != "held")) return;
  std::printf(
      "Batch %s goes on with what it began with. If it is its own bottle, jars or lot that "
      "are another: maslin amend.\n",
      clean(status->batch).c_str());
}

// Settings and facts: shown, or changed where members are given.
template <class Kept>
Command kept(const char* what) {
  return [what = std::string(what)](Wire& wire, const Order& order) {
    std::string members;
    for (const std::string& member : order.settings) {
      members += (members.empty() ? "" : ",") + member;
    }
    const int code =
        ask<Kept>(wire, order, what + (members.empty() ? "_show" : "_set"), "{" + members + "}");
    if (code == kDone && !members.empty() && !order.json) say_of_running(wire);
    return code;
  };
}

int assign(Wire& wire, const Order& order) {
  return ask<proto::DeviceState>(wire, order, "assign",
                                 proto::to_json(proto::Assign{order.role, order.device}));
}

int verify(Wire& wire, const Order& order) {
  return ask<proto::Verified>(wire, order, "batch_verify", batch_word(order),
                              [](const proto::Verified& verified) { return verified.exit_code; });
}

// A formula has two names: its file's, as everywhere else, and the one that it gives itself, which
// batches carry. Empty where neither is known; a fault where the daemon gave none.
tl::expected<std::string, proto::RpcFault> name_in_batches(Wire& wire, const Order& order) {
  const auto listed = wire.call("batch_list", "{}");
  if (!listed) return tl::unexpected<proto::RpcFault>(listed.error());
  const auto list = proto::from_json<proto::BatchList>(*listed);
  if (list && std::any_of(list->batches.begin(), list->batches.end(),
                          [&](const auto& batch) { return batch.formula == order.formula; })) {
    return order.formula;
  }
  const auto formula = read_formula(order.formula, order.program);
  if (!formula) return std::string();
  const auto answer =
      wire.call("formula_check", proto::to_json(proto::FormulaCheck{formula->text, formula->file}));
  if (!answer) return tl::unexpected<proto::RpcFault>(answer.error());
  const auto checked = proto::from_json<proto::FormulaChecked>(*answer);
  return checked ? checked->name : std::string();
}

int review(Wire& wire, const Order& order) {
  std::string formula;
  if (!order.formula.empty()) {
    const auto name = name_in_batches(wire, order);
    if (!name) return refuse(order, name.error());
    if (name->empty()) {
      return refuse(order, proto::Trouble{"no batch and no formula has this name", order.formula,
                                          "maslin batches shows what was made"});
    }
    formula = *name;
  }
  return ask<proto::Review>(wire, order, "review", proto::to_json(proto::ReviewRequest{formula}));
}

// A command that is one question and its screen.
template <class Result>
Command question(const char* method, std::string (*params)(const Order&)) {
  return [=](Wire& wire, const Order& order) {
    return ask<Result>(wire, order, method, params(order));
  };
}

const std::map<std::string, Command>& commands() {
  static const std::map<std::string, Command> table{
      {"check", check},
      {"plan", plan},
      {"start", start},
      {"devices", question<proto::DeviceList>("devices", nothing)},
      {"assign", assign},
      {"calibrate", calibrate},
      {"status", word},
      {"ok", word},
      {"no", word},
      {"hold", word},
      {"resume", word},
      {"accept", word},
      {"eaten", word},
      {"note", word},
      {"stop", word},
      {"follow",
       [](Wire& wire, const Order& order) {
         return follow(wire, {order.plain, order.json, ""});
       }},
      {"batches", question<proto::BatchList>("batch_list", nothing)},
      {"rate", rate},
      {"yield", say_yield},
      {"filled", say_filled},
      {"seals", say_seals},
      {"jar", say_where},
      {"jars", list_jars},
      {"amend", amend},
      {"solids", measure},
      {"ph", measure},
      {"report", question<proto::Report>("batch_report", batch_word)},
      {"record", question<proto::SafetyRecord>("batch_record", batch_word)},
      {"why",
       [](Wire& wire, const Order& order) {
         return ask<proto::Why>(wire, order, "batch_why",
                                proto::to_json(proto::WhyRequest{order.batch, order.text}));
       }},
      {"log", pages},
      {"export", pages},
      {"verify", verify},
      {"review", review},
      {"settings", kept<proto::Settings>("settings")},
      {"facts", kept<proto::Facts>("facts")},
  };
  return table;
}

std::optional<std::string> environment(const char* name) {
  const char* value = std::getenv(name);
  if (value == nullptr || *value == '\0') return std::nullopt;
  return value;
}

// $COLUMNS, for who reads through a pipe.
std::optional<std::size_t> columns_wanted() {
  const auto text = environment("COLUMNS");
  return text ? proto::columns_of(*text) : std::nullopt;
}

// The program that comes along answers in the place of this one: nothing is computed here.
int figure(const Order& order) {
  if (is_terminal(STDOUT_FILENO)) {
    ::setenv("COLUMNS", std::to_string(terminal_size().columns).c_str(), 1);
  }
  const std::string found = figure_program(order.program).string();
  std::vector<char*> words{const_cast<char*>(found.c_str())};
  for (const std::string& word : order.words) words.push_back(const_cast<char*>(word.c_str()));
  std::string json = "--json";
  if (order.json) words.push_back(json.data());
  words.push_back(nullptr);
  if (!found.empty()) ::execv(found.c_str(), words.data());
  return refuse(order,
                proto::Trouble{"the program that answers figures is not there", "maslin-figure",
                               "install it beside maslin, from the same "
                               "version"});
}

// A report that is cut off by a full disk must not look as if it were whole.
int written(const Order& order, int code) {
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return code;
  return refuse(order,
                proto::Trouble{"the answer could not be written", "", "look for room on the disk"});
}

}  // namespace

int carry_out(Order order) {
  set_columns(is_terminal(STDOUT_FILENO) ? terminal_size().columns : columns_wanted());
  // Before the daemon is looked for: a name that is mistyped is mended without one.
  if (order.command == "check" || order.command == "plan" || order.command == "start") {
    auto formula = read_formula(order.formula, order.program);
    if (!formula) return refuse(order, formula.error());
    order.read = std::move(*formula);
  }
  if (order.command == "figure") return figure(order);
  if (order.command == "cues") {  // the same in every daemon of this version
    std::fputs(order.json ? (proto::cue_catalogue_json() + "\n").c_str() : show_cues().c_str(),
               stdout);
    return written(order, kDone);
  }
  auto wire = Wire::connect(socket_path(order.socket, environment));
  if (!wire) return refuse(order, wire.error(), kNoDaemon);
  return written(order, commands().at(order.command)(**wire, order));
}

}  // namespace maslin::client
