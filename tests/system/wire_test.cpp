// The socket of a running daemon against clients that make mistakes, do not read, or mean it badly:
// each gets an error with its code, memory stays bounded, and the others notice nothing.
// Codes: JSON-RPC 2.0 specification, section 5.1.
#include <gmock/gmock.h>

#include <csignal>
#include <thread>

#include "tests/system/house.hpp"

namespace maslin::house {
namespace {

using testing::HasSubstr;

// A sanitizer keeps what is freed for a while, and shadows of all of it.
#ifdef MASLIN_SANITIZED
constexpr std::int64_t mebibyte_kb = 64 * 1024;
#else
constexpr std::int64_t mebibyte_kb = 1024;
#endif

class Wire : public testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(daemon.ready()) << daemon.log(); }
  void TearDown() override { EXPECT_EQ(daemon.stop(), 0) << daemon.log(); }

  // The code of the error that a line is answered with; 0 for a result.
  static int code_of(Client& client, const std::string& line) {
    client.send(line + "\n");
    const auto answer = client.message();
    if (!answer) return -1;
    EXPECT_EQ(answer->value("jsonrpc", ""), "2.0");
    if (!answer->contains("error")) return 0;
    EXPECT_FALSE((*answer)["error"]["data"][0]["what"].get<std::string>().empty()) << *answer;
    return (*answer)["error"]["code"];
  }
  static std::string call(const std::string& method, const std::string& params) {
    return R"({"jsonrpc":"2.0","id":7,"method":")" + method + R"(","params":)" + params + "}";
  }
  // Another client is served as ever.
  void others_are_served() {
    Client other(daemon.socket());
    ASSERT_TRUE(other.connected());
    other.hello();
    EXPECT_TRUE(other.call("devices").contains("result"));
  }
  std::int64_t resident() { return resident_kb(daemon.process().pid()); }

  const Directory here;
  Daemon daemon{here / "state", here / "socket", {.pace = "1"}};
};

TEST_F(Wire, WhatIsNoJsonIsAParseErrorAndTheConnectionGoesOn) {
  Client client(daemon.socket());
  EXPECT_EQ(code_of(client, "hello?"), -32700);
  EXPECT_EQ(code_of(client, R"({"jsonrpc":"2.0","id":1,"method":"hello")"), -32700);
  EXPECT_EQ(code_of(client, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"\xff\xfe\"}"), -32700);
  EXPECT_EQ(code_of(client, std::string("\0\0\0", 3)), -32700);
  client.hello();
}

TEST_F(Wire, WhatIsNoCallIsAnInvalidRequest) {
  Client client(daemon.socket());
  client.hello();
  EXPECT_EQ(code_of(client, "[]"), -32600);
  EXPECT_EQ(code_of(client, "1"), -32600);
  EXPECT_EQ(code_of(client, "{}"), -32600);
  EXPECT_EQ(code_of(client, R"({"jsonrpc":"1.0","id":1,"method":"devices"})"), -32600);
  EXPECT_EQ(code_of(client, R"({"jsonrpc":"2.0","id":1,"method":1})"), -32600);
  EXPECT_EQ(code_of(client, R"({"jsonrpc":"2.0","id":[1],"method":"devices"})"), -32600);
  // Where the id could be read it is in the answer.
  client.send("{\"id\":\"mine\",\"method\":\"devices\"}\n");
  EXPECT_EQ((*client.message())["id"], "mine");
}

TEST_F(Wire, AnUnknownMethodIsNotFound) {
  Client client(daemon.socket());
  client.hello();
  EXPECT_EQ(code_of(client, call("batch_explode", "{}")), -32601);
  EXPECT_EQ(code_of(client, call("", "{}")), -32601);
}

TEST_F(Wire, ParametersOfTheWrongTypeAreInvalid) {
  Client client(daemon.socket());
  client.hello();
  for (const auto& [method, params] : std::vector<std::pair<std::string, std::string>>{
           {"devices", "[1]"},
           {"hello", R"({"wire":"one"})"},
           {"hello", R"({"wire":1.5})"},
           {"hello", R"({"wire":true})"},
           {"formula_check", R"({"text":5})"},
           {"formula_check", R"({"text":{"a":1}})"},
           {"plan_make", R"({"text":"","have":"onion=1 g"})"},
           {"plan_make", R"({"text":"","have":[1]})"},
           {"plan_make", R"({"text":"","jars":"two"})"},
           {"assign", R"({"role":1,"device":"kitchen"})"},
           {"settings_set", R"({"altitude_m":"high"})"},
           {"settings_set", R"({"altitude":12})"},
           {"batch_start", R"({"text":null})"},
           {"batch_note", R"({"text":["a"]})"},
           {"batch_report", R"({"batch":1})"},
           {"batch_log", R"({"from_line":"first"})"},
           {"batch_log", R"({"from_line":1e300})"},
           {"review", R"({"formula":false})"}}) {
    EXPECT_EQ(code_of(client, call(method, params)), -32602) << method << " " << params;
  }
}

TEST_F(Wire, HelloComesFirstAndMustSpeakTheSameVersion) {
  Client client(daemon.socket());
  EXPECT_EQ(code_of(client, call("devices", "{}")), -32600);
  EXPECT_EQ(code_of(client, call("subscribe", "{}")), -32600);
  EXPECT_EQ(code_of(client, call("hello", R"({"wire":2})")), -32000);
  EXPECT_EQ(code_of(client, call("devices", "{}")), -32600);
  client.hello();
  EXPECT_EQ(code_of(client, call("devices", "{}")), 0);
}

TEST_F(Wire, ANotificationGetsNoAnswer) {
  Client client(daemon.socket());
  client.hello();
  client.send("{\"jsonrpc\":\"2.0\",\"method\":\"devices\"}\n");
  client.send("{\"jsonrpc\":\"2.0\",\"method\":\"no such\"}\n");
  client.send("\n  \n");
  client.send(call("devices", "{}") + "\r\n");
  const auto blank = client.message();  // of the line with the two spaces
  ASSERT_TRUE(blank.has_value());
  EXPECT_EQ((*blank)["error"]["code"], -32700);
  EXPECT_EQ((*client.message())["id"], 7);
}

TEST_F(Wire, DeepNestingIsRefused) {
  Client client(daemon.socket());
  client.hello();
  const std::string deep(400'000, '[');
  EXPECT_EQ(code_of(client, call("devices", R"({"a":)" + deep)), -32700);
  const std::string closed = deep + std::string(deep.size(), ']');
  EXPECT_EQ(code_of(client, call("devices", R"({"a":)" + closed + "}")), -32700);
  EXPECT_EQ(code_of(client, closed), -32700);
  others_are_served();
}

TEST_F(Wire, AMessageMayComeInPieces) {
  Client client(daemon.socket());
  const std::string line = call("hello", R"({"wire":1})") + "\n";
  for (const char one : line) client.send(std::string(1, one));
  EXPECT_TRUE(client.message()->contains("result"));
}

TEST_F(Wire, HalfAMessageAndGone) {
  for (int i = 0; i < 20; ++i) {
    Client client(daemon.socket());
    client.send(R"({"jsonrpc":"2.0","id":1,"met)");
  }
  others_are_served();
}

TEST_F(Wire, WhoStopsSendingStillGetsTheAnswers) {
  Client client(daemon.socket());
  client.hello();
  client.send(call("batch_list", "{}") + "\n");
  client.close_sending();
  const auto answer = client.message();
  ASSERT_TRUE(answer.has_value());
  EXPECT_TRUE(answer->contains("result"));
  EXPECT_TRUE(client.closed());
}

TEST_F(Wire, AHundredMegabyteLineEndsTheConnectionAndTakesNoMemory) {
  const auto before = resident();
  Client client(daemon.socket());
  client.hello();
  const std::string megabyte(1'000'000, 'x');
  int sent = 0;
  while (sent < 100 && client.send(megabyte)) ++sent;
  EXPECT_LT(sent, 10);
  const auto farewell = client.message();
  ASSERT_TRUE(farewell.has_value());
  EXPECT_EQ((*farewell)["method"], "farewell");
  EXPECT_THAT((*farewell)["params"]["what"].get<std::string>(), HasSubstr("mebibyte"));
  EXPECT_TRUE(client.closed());
  EXPECT_LT(resident(), before + 8 * mebibyte_kb);
  others_are_served();
}

TEST_F(Wire, QuestionsWithoutReadingTheAnswersTakeNoMemory) {
  Client client(daemon.socket());
  client.hello();
  Client settled(daemon.socket());
  settled.hello();
  const auto before = resident();
  // The daemon stops reading before all is sent, so another thread sends.
  std::thread sends([&] {
    std::string lines;
    for (int i = 0; i < 200; ++i)
      lines += call("devices", "{}") + "\n" + call("review", "{}") + "\n";
    for (int i = 0; i < 15 && client.send(lines); ++i) {
    }
  });
  for (int i = 0; i < 50; ++i) {
    EXPECT_TRUE(settled.call("devices").contains("result"));
    EXPECT_LT(resident(), before + 16 * mebibyte_kb);
  }
  int answers = 0;
  for (; answers < 6'000; ++answers) {
    if (!client.line()) break;
  }
  sends.join();
  EXPECT_EQ(answers, 6'000);  // nothing is lost: the daemon only waited
}

TEST_F(Wire, WhoLetsAMebibyteOfEntriesWaitIsToldAndDisconnected) {
  Client slow(daemon.socket());
  slow.hello();
  slow.call("subscribe");
  Client other(daemon.socket());
  other.hello();
  other.call("subscribe");
  ASSERT_TRUE(start_relish(other).contains("result"));
  const auto before = resident();
  const std::string text(4'000, 'n');
  for (int i = 0; i < 1'000; ++i) {
    ASSERT_TRUE(other.call("batch_note", {{"text", text}}).contains("result"));
    for (bool heard = false; !heard;) {  // the other hears all of it
      const auto line = other.event();
      ASSERT_TRUE(line.has_value());
      heard = line->find(R"("type":"noted")") != std::string::npos;
    }
    EXPECT_LT(resident(), before + 24 * mebibyte_kb);
  }
  // What was on its way when the bound was passed is still whole lines, and the last says why.
  std::string last;
  while (const auto line = slow.line()) {
    EXPECT_FALSE(Json::parse(*line, nullptr, false).is_discarded());
    last = *line;
  }
  EXPECT_THAT(last.substr(0, 1000), HasSubstr(R"("method":"farewell")"));
  EXPECT_THAT(last.substr(0, 1000), HasSubstr("too slowly"));

  Client again(daemon.socket());
  again.hello();
  again.call("subscribe");
  const Json state = Json::parse(*again.event());
  EXPECT_EQ(state["method"], "whole_state");
  EXPECT_EQ(state["params"]["state"], "running");
  EXPECT_EQ(Json::parse(*again.event())["method"], "current");
}

TEST_F(Wire, WhoNeverReadsIsClosedAfterAWhile) {
  Client never(daemon.socket());
  never.hello();
  never.call("subscribe");
  Client other(daemon.socket());
  other.hello();
  ASSERT_TRUE(start_relish(other).contains("result"));
  const std::string text(4'000, 'n');
  for (int i = 0; i < 1'000; ++i) other.call("batch_note", {{"text", text}});
  const fs::path descriptors = "/proc/" + std::to_string(daemon.process().pid()) + "/fd";
  const auto count = [&] {
    return std::distance(fs::directory_iterator(descriptors), fs::directory_iterator());
  };
  const auto with_it = count();
  EXPECT_TRUE(until([&] { return count() < with_it; }));
}

TEST_F(Wire, ManyClientsComeAndGo) {
  const fs::path descriptors = "/proc/" + std::to_string(daemon.process().pid()) + "/fd";
  const auto count = [&] {
    return std::distance(fs::directory_iterator(descriptors), fs::directory_iterator());
  };
  others_are_served();
  const auto before = count();
  for (int i = 0; i < 1000; ++i) {
    Client client(daemon.socket());
    if (i % 3 == 0) client.send(call("hello", R"({"wire":1})") + "\n");
  }
  EXPECT_TRUE(until([&] { return count() <= before; }));

  std::vector<std::unique_ptr<Client>> all;
  for (int i = 0; i < 64; ++i) {
    all.push_back(std::make_unique<Client>(daemon.socket()));
    all.back()->hello();
  }
  Client one_more(daemon.socket());
  const auto farewell = one_more.message();
  ASSERT_TRUE(farewell.has_value());
  EXPECT_THAT((*farewell)["params"]["what"].get<std::string>(), HasSubstr("too many"));
  EXPECT_TRUE(one_more.closed());
  all.clear();
  EXPECT_TRUE(until([&] { return count() <= before; }));
  others_are_served();
}

TEST_F(Wire, EventsComeToAllSubscribersAlikeAndOnlyToThem) {
  Client first(daemon.socket());
  first.hello();
  first.call("subscribe");
  Client second(daemon.socket());
  second.hello();
  second.call("subscribe");
  Client third(daemon.socket());
  third.hello();
  ASSERT_TRUE(start_relish(third).contains("result"));
  third.call("batch_stop", {{"text", "a test"}});
  const auto one = follow(first);
  const auto two = follow(second);
  EXPECT_TRUE(one.ended);
  EXPECT_EQ(one.settled, two.settled);
  EXPECT_FALSE(third.event(std::chrono::milliseconds(100)).has_value());
}

}  // namespace
}  // namespace maslin::house
