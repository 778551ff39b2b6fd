// The JSON-RPC envelope and what is read of untrusted JSON. Codes: JSON-RPC 2.0 specification,
// section 5.1.
#include <gmock/gmock.h>

#include "proto/json.hpp"
#include "proto/methods.hpp"
#include "proto/rpc.hpp"

namespace maslin::proto {
namespace {

using testing::HasSubstr;

TEST(Envelope, ACallIsTakenApart) {
  const auto call = read_call(R"({"jsonrpc":"2.0","id":3,"method":"hello","params":{"wire":1}})");
  ASSERT_TRUE(call.has_value());
  EXPECT_EQ(call->id, "3");
  EXPECT_EQ(call->method, "hello");
  EXPECT_EQ(call->params, R"({"wire":1})");
  EXPECT_EQ(read_call(R"({"jsonrpc":"2.0","id":"a","method":"x"})")->params, "{}");
  EXPECT_EQ(read_call(R"({"jsonrpc":"2.0","method":"x"})")->id, "");
}

TEST(Envelope, WhatAFaultRepeatsOfACallerIsCut) {
  const std::string much(900'000, 'x');
  const auto unclosed = read_call("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"" + much);
  ASSERT_FALSE(unclosed.has_value());
  EXPECT_LT(write_fault("1", unclosed.error().fault).size(), 4000U);
  const RpcFault many{RpcCode::refused, Troubles(50'000, Trouble{much.substr(0, 1000), "a", "b"})};
  EXPECT_LT(write_fault("1", many).size(), 100'000U);
  const auto id = read_call("{\"jsonrpc\":\"2.0\",\"id\":\"" + much + "\",\"method\":\"x\"}");
  ASSERT_FALSE(id.has_value());
  EXPECT_EQ(id.error().id, "null");
}

TEST(Excerpt, NeverEndsWithHalfACharacter) {
  EXPECT_EQ(excerpt("crème", 20), "crème");
  EXPECT_EQ(excerpt("crème brûlée", 7), "crè…");
  EXPECT_EQ(excerpt("crème brûlée", 6), "cr…");
  EXPECT_EQ(excerpt("abcdef", 3), "…");
}

TEST(Envelope, BracketsBeyondAllUseAreRefusedBeforeAnythingWalksThem) {
  const std::string deep = std::string(300'000, '[') + std::string(300'000, ']');
  const auto call =
      read_call(R"({"jsonrpc":"2.0","id":3,"method":"hello","params":{"a":)" + deep + "}}");
  ASSERT_FALSE(call.has_value());
  EXPECT_EQ(call.error().fault.code, RpcCode::parse_error);
  EXPECT_THAT(call.error().fault.troubles.front().what, HasSubstr("nested"));
  EXPECT_FALSE(read_entry(deep).has_value());
}

TEST(Envelope, BracketsInTextsAreNoNesting) {
  const std::string text = R"({"text":")" + std::string(300, '[') + R"(\"[[[","file":"f"})";
  EXPECT_TRUE(from_json<FormulaCheck>(text).has_value());
}

TEST(Figures, AreTakenAsTheyAreGivenOrNotAtAll) {
  EXPECT_EQ(from_json<Hello>(R"({"wire":2})")->wire, 2);
  for (const auto* text :
       {R"({"wire":1.5})", R"({"wire":true})", R"({"wire":1e300})", R"({"wire":5000000000})"}) {
    const auto hello = from_json<Hello>(text);
    ASSERT_FALSE(hello.has_value()) << text;
    EXPECT_EQ(hello.error().where, "wire") << text;
  }
  EXPECT_FALSE(from_json<LinesRequest>(R"({"from_line":18446744073709551615})").has_value());
  EXPECT_FALSE(from_json<FormulaChecked>(R"({"good":1})").has_value());
}

TEST(Figures, AreLookedAtWhereverTheyStand) {
  const auto list = from_json<DeviceList>(
      R"({"devices":[],"plugins":[{"name":"a","restarts":1},{"name":"b","restarts":1e99}]})");
  ASSERT_FALSE(list.has_value());
  EXPECT_EQ(list.error().where, "plugins.restarts");
  EXPECT_FALSE(from_json<Hello>("[1]").has_value());
  EXPECT_FALSE(
      read_entry(
          R"({"seq":1e30,"at_ms":0,"utc_ms":0,"after_reading":0,"kind":"input","type":"timer","body":{}})")
          .has_value());
}

TEST(Envelope, AnAnswerThatIsNoneIsNoAccident) {
  const auto odd = read_message(R"({"id":1,"error":{"code":[],"message":{},"data":3}})");
  ASSERT_TRUE(odd.has_value());
  ASSERT_TRUE(odd->fault.has_value());
  EXPECT_EQ(odd->fault->troubles.front().what, "no reason given");
  EXPECT_FALSE(read_message("[]").has_value());
}

TEST(Figures, AWholeNumberIsANumber) {
  EXPECT_EQ(from_json<PlanRequest>(R"({"jars":3})")->jars, 3.0);
  EXPECT_EQ(from_json<PlanRequest>(R"({"jars":2.5})")->jars, 2.5);
  EXPECT_EQ(from_json<PlanRequest>(R"({"jars":null})")->jars, std::nullopt);
  EXPECT_FALSE(from_json<PlanRequest>(R"({"jars":true})").has_value());
}

}  // namespace
}  // namespace maslin::proto
