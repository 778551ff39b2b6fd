// The table of methods.
#include "daemon/rpc/methods.hpp"

#include <array>

#include "daemon/session/answers.hpp"
#include "proto/json.hpp"
#include "proto/methods.hpp"

namespace maslin::rpc {
namespace {

proto::RpcFault refused(proto::Troubles troubles) {
  return {proto::RpcCode::refused, std::move(troubles)};
}

// A result of the session as an answer.
template <class T>
Answer answer(const proto::Result<T>& result) {
  if (!result) return tl::unexpected<proto::RpcFault>(refused({result.error()}));
  return proto::to_json(*result);
}
template <class T>
Answer answer(const proto::Results<T>& result) {
  if (!result) return tl::unexpected<proto::RpcFault>(refused(result.error()));
  return proto::to_json(*result);
}
template <class T>
Answer answer(const T& value) {
  return proto::to_json(value);
}

// Reads the parameters, or answers what is wrong with them.
template <class Params, class Work>
void with(const std::string& text, const Reply& reply, Work work) {
  auto params = proto::from_json<Params>(text);
  if (params) {
    work(std::move(*params));
  } else {
    reply(tl::unexpected<proto::RpcFault>(
        proto::RpcFault{proto::RpcCode::invalid_params, {params.error()}}));
  }
}

// A question to the record: `ask` runs in the reader thread and must own all it uses.
template <class Ask>
void ask_record(House& house, Reply reply, Ask ask) {
  house.store.read([reply = std::move(reply), ask = std::move(ask)](store::Reader& reader) {
    return std::function<void()>([reply, result = answer(ask(reader))] { reply(result); });
  });
}

template <class Params, class Ask>
void question(House& house, const std::string& text, Reply reply, Ask ask) {
  with<Params>(text, reply, [&](Params params) {
    if constexpr (requires { params.batch; }) {
      if (params.batch.empty()) params.batch = house.session.default_batch();
    }
    ask_record(house, reply, [params = std::move(params), ask](store::Reader& reader) {
      return ask(reader, params);
    });
  });
}

// What changes a batch is answered when it is on disk: nothing that was acknowledged is forgotten,
// and a report asked for next knows of it.
template <class T>
void when_durable(House& house, const T& result, const Reply& reply) {
  Answer text = answer(result);
  if (!result) {
    reply(text);
    return;
  }
  house.session.when_durable([reply, text = std::move(text)] { reply(text); });
}

// The cook's words to the running batch.
template <const char* Word>
void word(House& house, const std::string& text, Reply reply) {
  with<proto::BatchWord>(text, reply, [&](const proto::BatchWord& params) {
    when_durable(house, house.session.word(Word, params), reply);
  });
}

constexpr char word_ok[] = "ok";
constexpr char word_no[] = "no";
constexpr char word_hold[] = "hold";
constexpr char word_resume[] = "resume";
constexpr char word_accept[] = "accept";
constexpr char word_eaten[] = "eaten";
constexpr char word_stop[] = "stop";

void hello(House& house, const std::string& text, Reply reply) {
  with<proto::Hello>(text, reply, [&](const proto::Hello& params) {
    if (params.wire != proto::wire_version) {
      reply(tl::unexpected<proto::RpcFault>(
          refused({{"this daemon speaks version " + std::to_string(proto::wire_version) +
                        " of the wire, not " + std::to_string(params.wire),
                    "wire", "use a maslin and a maslind of one version"}})));
      return;
    }
    reply(answer(proto::Hello{"maslind", house.version, proto::wire_version}));
  });
}

// Settings or facts with what the parameters state in its place.
template <class T>
void set_merged(House& house, const T& known, const std::string& text, const Reply& reply) {
  const auto params = proto::merged(known, text);
  if (params) {
    reply(answer(house.session.set(*params)));
  } else {
    reply(tl::unexpected<proto::RpcFault>(
        proto::RpcFault{proto::RpcCode::invalid_params, {params.error()}}));
  }
}

constexpr std::array table = {
    Method{"hello", false, hello},
    Method{"formula_check", false,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::FormulaCheck>(text, reply, [&](const proto::FormulaCheck& params) {
               reply(answer(house.session.check(params)));
             });
           }},
    Method{"plan_make", false,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::PlanRequest>(text, reply, [&](const proto::PlanRequest& params) {
               reply(answer(house.session.plan(params)));
             });
           }},
    Method{"devices", false,
           [](House& house, const std::string&, Reply reply) {
             reply(answer(house.session.devices()));
           }},
    Method{"assign", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::Assign>(text, reply, [&](const proto::Assign& params) {
               reply(answer(house.session.assign(params)));
             });
           }},
    Method{"calibrate", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::CalibrateRequest>(text, reply, [&](const proto::CalibrateRequest& params) {
               house.session.calibrate(params,
                                       [reply](const auto& status) { reply(answer(status)); });
             });
           }},
    Method{"settings_show", false,
           [](House& house, const std::string&, Reply reply) {
             reply(answer(house.session.settings()));
           }},
    Method{"settings_set", true,
           [](House& house, const std::string& text, Reply reply) {
             set_merged(house, house.session.settings(), text, reply);
           }},
    Method{"facts_show", false,
           [](House& house, const std::string&, Reply reply) {
             reply(answer(house.session.facts()));
           }},
    Method{"facts_set", true,
           [](House& house, const std::string& text, Reply reply) {
             set_merged(house, house.session.facts(), text, reply);
           }},
    Method{"batch_start", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::PlanRequest>(text, reply, [&](const proto::PlanRequest& params) {
               when_durable(house, house.session.start(params), reply);
             });
           }},
    Method{"batch_status", false,
           [](House& house, const std::string&, Reply reply) {
             reply(answer(house.session.status()));
           }},
    Method{"batch_ok", true, word<word_ok>},
    Method{"batch_no", true, word<word_no>},
    Method{"batch_hold", true, word<word_hold>},
    Method{"batch_resume", true, word<word_resume>},
    Method{"batch_accept", true, word<word_accept>},
    Method{"batch_eaten", true, word<word_eaten>},
    Method{"batch_note", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::BatchWord>(text, reply, [&](const proto::BatchWord& params) {
               house.session.note(params, [reply](const auto& status) { reply(answer(status)); });
             });
           }},
    Method{"batch_rate", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::RateRequest>(text, reply, [&](const proto::RateRequest& params) {
               house.session.rate(params, [reply](const auto& status) { reply(answer(status)); });
             });
           }},
    Method{"batch_jars", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::JarRequest>(text, reply, [&](const proto::JarRequest& params) {
               house.session.jars(params, [reply](const auto& status) { reply(answer(status)); });
             });
           }},
    Method{"batch_amend", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::AmendRequest>(text, reply, [&](const proto::AmendRequest& params) {
               house.session.amend(params, [reply](const auto& status) { reply(answer(status)); });
             });
           }},
    Method{"batch_measure", true,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::MeasureRequest>(text, reply, [&](const proto::MeasureRequest& params) {
               house.session.measure(params,
                                     [reply](const auto& status) { reply(answer(status)); });
             });
           }},
    Method{"batch_stop", true, word<word_stop>},
    Method{"batch_list", false,
           [](House& house, const std::string&, Reply reply) {
             ask_record(house, std::move(reply),
                        [](store::Reader& reader) { return session::batches_of(reader); });
           }},
    Method{"batch_report", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::BatchWord>(house, text, std::move(reply),
                                        [](auto& reader, const auto& params) {
                                          return session::report_of(reader, params.batch);
                                        });
           }},
    Method{"batch_record", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::BatchWord>(house, text, std::move(reply),
                                        [](auto& reader, const auto& params) {
                                          return session::safety_record_of(reader, params.batch);
                                        });
           }},
    Method{"batch_why", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::WhyRequest>(house, text, std::move(reply), session::why_of);
           }},
    Method{"batch_log", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::LinesRequest>(house, text, std::move(reply), session::log_of);
           }},
    Method{"batch_export", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::LinesRequest>(house, text, std::move(reply), session::export_of);
           }},
    Method{"batch_verify", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::BatchWord>(house, text, std::move(reply),
                                        [](auto& reader, const auto& params) {
                                          return session::verify(reader, params.batch);
                                        });
           }},
    Method{"jars", false,
           [](House& house, const std::string& text, Reply reply) {
             with<proto::JarListRequest>(text, reply, [&](const proto::JarListRequest& params) {
               ask_record(house, reply,
                          [params, now = house.session.utc_ms()](store::Reader& reader) {
                            return session::jars_of(reader, params, now);
                          });
             });
           }},
    Method{"review", false,
           [](House& house, const std::string& text, Reply reply) {
             question<proto::ReviewRequest>(house, text, std::move(reply),
                                            [](auto& reader, const auto& params) {
                                              return session::review_of(reader, params.formula);
                                            });
           }},
};

}  // namespace

std::span<const Method> methods() { return table; }

const Method* find_method(std::string_view name) {
  for (const auto& method : table) {
    if (method.name == name) return &method;
  }
  return nullptr;
}

}  // namespace maslin::rpc
