// proto/openrpc.json against the daemon: the methods are the same, and every answer, error and
// event of a running daemon is as the document describes it, with no field left undescribed.
#include <gmock/gmock.h>

#include <set>

#include "daemon/rpc/methods.hpp"
#include "tests/system/house.hpp"
#include "tests/system/wire_schema.hpp"

namespace maslin::house {
namespace {

using testing::UnorderedElementsAreArray;

const Json& document() {
  static const Json text = Json::parse(read_file(MASLIN_SOURCE_DIR "/proto/openrpc.json"));
  return text;
}

const Json* described(const Json& list, const std::string& name) {
  for (const auto& one : list) {
    if (one["name"] == name) return &one;
  }
  return nullptr;
}

TEST(WireDocument, HasTheMethodsOfTheDaemonWithTheirMarks) {
  std::vector<std::string> in_document;
  for (const auto& method : document()["methods"]) {
    in_document.push_back(method["name"].get<std::string>() + " " +
                          method["x-marked"].get<std::string>());
  }
  std::vector<std::string> in_table = {"subscribe read"};
  for (const auto& method : rpc::methods()) {
    in_table.push_back(std::string(method.name) + (method.acts ? " act" : " read"));
  }
  EXPECT_THAT(in_document, UnorderedElementsAreArray(in_table));
}

TEST(WireDocument, ReferencesWhatIsThereAndUsesAllOfIt) {
  std::set<std::string> used;
  const std::function<void(const Json&)> look = [&](const Json& part) {
    for (const auto& [key, value] : part.items()) {
      if (key == "$ref") used.insert(value.get<std::string>());
      if (value.is_structured()) look(value);
    }
  };
  look(document());
  std::set<std::string> there;
  for (const auto& kind : {"schemas", "errors"}) {
    for (const auto& [name, unused] : document()["components"][kind].items()) {
      there.insert("#/components/" + std::string(kind) + "/" + name);
    }
  }
  // Two errors belong to no method: the line could not be read that far, or the program failed.
  used.insert({"#/components/errors/ParseError", "#/components/errors/MethodNotFound",
               "#/components/errors/InternalError"});
  EXPECT_EQ(used, there);
}

// A daemon, and a client that holds all it sends and gets to the document.
class Described : public testing::Test {
 protected:
  void begin(const std::string& pace) {
    DaemonOptions options;
    options.pace = pace;
    daemon = std::make_unique<Daemon>(here / "state", here / "socket", options);
    ASSERT_TRUE(daemon->ready()) << daemon->log();
    client = std::make_unique<Client>(daemon->socket());
    checked("hello", {{"program", "test"}, {"version", "1"}, {"wire", 1}});
  }

  // The answer, after its check. An error must be one of those the document names.
  Json checked(const std::string& method, const Json& params = Json::object()) {
    const Json* known = described(document()["methods"], method);
    if (known == nullptr) {
      ADD_FAILURE() << method << " is not described";
      return {};
    }
    for (const auto& [name, value] : params.items()) {
      const Json* param = described((*known)["params"], name);
      EXPECT_NE(param, nullptr) << method << ": parameter " << name << " is not described";
      if (param != nullptr) {
        EXPECT_EQ(mismatch(document(), (*param)["schema"], value, method + "/" + name), "");
      }
    }
    Json answer = client->call(method, params);
    EXPECT_EQ(answer["jsonrpc"], "2.0");
    if (answer.contains("error")) {
      check_error(method, (*known)["errors"], answer["error"]);
    } else {
      answered.insert(method);
      EXPECT_EQ(mismatch(document(), (*known)["result"]["schema"], answer["result"], method), "");
    }
    return answer;
  }

  static void check_error(const std::string& method, const Json& errors, const Json& error) {
    bool named = false;
    for (const auto& one : errors) {
      const Json::json_pointer path(one["$ref"].get<std::string>().substr(1));
      named = named || document()[path]["code"] == error["code"];
    }
    EXPECT_TRUE(named) << method << ": " << error << " is not described";
    const Json troubles = {{"type", "array"},
                           {"items", {{"$ref", "#/components/schemas/Trouble"}}}};
    EXPECT_EQ(mismatch(document(), troubles, error["data"], method + "/error"), "");
    EXPECT_FALSE(error["data"].empty());
  }

  void check_event(const Json& event) {
    const std::string name = event["method"];
    const Json* known = described(document()["x-events"], name);
    ASSERT_NE(known, nullptr) << name << " is not described";
    seen.insert(name);
    EXPECT_EQ(mismatch(document(), (*known)["schema"], event["params"], name), "") << event;
    if (name == "entry") types.insert(event["params"]["type"].get<std::string>());
  }

  void check_events_until(const std::string& state) {
    for (;;) {
      const auto line = client->event();
      ASSERT_TRUE(line.has_value()) << "the events end before the batch is " << state;
      const Json event = Json::parse(*line);
      check_event(event);
      const Json& entry = event["params"];
      if (event["method"] == "entry" && entry["type"] == "batch state" &&
          entry["body"]["state"] == state) {
        return;
      }
    }
  }

  const Directory here;
  std::unique_ptr<Daemon> daemon;
  std::unique_ptr<Client> client;
  std::set<std::string> answered;  // methods that gave a result
  std::set<std::string> seen;      // events
  std::set<std::string> types;     // of entries
};

TEST_F(Described, AWholeEveningAndAllThatCanBeAskedAboutIt) {
  begin("max");
  const Json formula = {{"text", shipped_formula("quayside-onion-relish")},
                        {"file", "quayside-onion-relish.toml"}};
  checked("formula_check", formula);
  checked("formula_check", {{"text", "name = 3"}, {"file", "bad.toml"}});
  Json request = formula;
  request["have"] = Json::array({"onion=340 g"});
  checked("plan_make", request);
  request["have"] = Json::array({"plums=340 g"});
  EXPECT_TRUE(checked("plan_make", request).contains("error"));
  checked("devices");
  checked("assign", {{"role", "bench"}, {"device", "kitchen:scale"}});
  EXPECT_TRUE(checked("assign", {{"role", "fine"}, {"device", "nothing"}}).contains("error"));
  checked("settings_show");
  checked("settings_set", {{"usual_spread", 0.03}, {"altitude_m", 12}});
  EXPECT_TRUE(checked("settings_set", {{"usual_spread", 7}}).contains("error"));
  checked("batch_status");
  checked("batch_list");
  EXPECT_TRUE(checked("batch_report", {{"batch", "1999-01-01-1"}}).contains("error"));

  checked("subscribe");
  checked("batch_start", formula);
  check_events_until("complete");
  EXPECT_EQ(seen, (std::set<std::string>{"whole_state", "current", "entry", "progress"}));
  EXPECT_THAT(types, testing::IsSupersetOf({"start", "batch state", "phase began", "weighing",
                                            "verdict", "cue", "held", "released", "zero epoch",
                                            "condition", "device event"}));
  checked("batch_status");
  checked("batch_list");
  checked("batch_report", {{"batch", ""}});
  checked("batch_why", {{"batch", ""}, {"ingredient", "onion"}});
  checked("batch_log", {{"batch", ""}, {"from_line", 0}});
  checked("batch_export", {{"batch", ""}, {"from_line", 10}});
  EXPECT_EQ(checked("batch_verify", {{"batch", ""}})["result"]["answer"], "same");
  checked("review", {{"formula", ""}});
  checked("devices");
}

TEST_F(Described, TheWordsOfTheCook) {
  begin("1");  // slow enough that the batch is still at its beginning
  checked("subscribe");
  EXPECT_TRUE(checked("batch_ok").contains("error"));  // nothing runs
  checked("batch_start", {{"text", shipped_formula("quayside-onion-relish")}});
  EXPECT_TRUE(checked("batch_start", {{"text", shipped_formula("quayside-onion-relish")}})
                  .contains("error"));
  checked("batch_note", {{"text", "the onions are red ones"}});
  checked("batch_hold", {{"text", "telephone"}});
  checked("batch_resume");
  // The first second after a step was called for takes no ok.
  EXPECT_TRUE(until([&] { return checked("batch_ok").contains("result"); }));
  checked("batch_accept", {{"text", "it is fine"}});
  EXPECT_TRUE(checked("batch_no").contains("error"));  // nothing is offered
  checked("batch_stop", {{"text", "enough"}});
  check_events_until("stopped");
  checked("batch_report");
  checked("batch_record");
  EXPECT_THAT(answered, testing::IsSupersetOf({"batch_start", "batch_note", "batch_hold",
                                               "batch_resume", "batch_ok", "batch_stop"}));
}

TEST_F(Described, EveryMethodAnswersAndFarewellIsSaid) {
  begin("max");
  for (const auto& method : document()["methods"]) {
    const Json answer = checked(method["name"]);
    if (answer.contains("error")) {
      EXPECT_NE(answer["error"]["code"], -32601) << answer;
    }
  }
  daemon->process().signal(SIGTERM);
  while (const auto line = client->event()) check_event(Json::parse(*line));
  EXPECT_TRUE(seen.contains("farewell"));
}

}  // namespace
}  // namespace maslin::house
