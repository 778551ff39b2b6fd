// A cure of three weeks through the real programs: simulated devices and cook, a daemon that is
// ended every day, and its record afterwards, as an inspector would ask for it.
#include <gmock/gmock.h>

#include <algorithm>
#include <optional>

#include "tests/system/house.hpp"

namespace maslin::house {
namespace {

using testing::HasSubstr;

class Weeks : public testing::Test {
 protected:
  void open_daemon() {
    DaemonOptions options;
    options.plugins = {"kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-cure.toml"};
    daemon.emplace(here / "state", here / "socket", options);
    ASSERT_TRUE(daemon->up()) << daemon->log();
    client.emplace(daemon->socket());
    client->hello();
    // Two scales and two thermometers: none has a part by itself.
    ASSERT_TRUE(until([&] {
      const Json answer = client->call("devices");
      const auto& all = answer["result"]["devices"];
      return std::count_if(all.begin(), all.end(),
                           [](const Json& one) { return one["condition"] == "live"; }) >= 5;
    })) << daemon->log();
  }
  Json call(const std::string& method, const Json& params = Json::object()) {
    Json answer = client->call(method, params);
    EXPECT_TRUE(answer.contains("result")) << method << ": " << answer;
    return answer["result"];
  }
  void begin() {
    for (const auto& [role, device] : {std::pair{"bench", "kitchen:scale:1"},
                                       {"fine", "kitchen:fine:1"},
                                       {"pan", "kitchen:probe:1"},
                                       {"room", "kitchen:room:1"}}) {
      call("assign", {{"role", role}, {"device", device}});
    }
    call("facts_set", {{"nitrite_pct", 6.25}});
    std::string formula = shipped_formula("quayside-cured-pork");
    const std::string time = "time = \"14 days\"";
    formula.replace(formula.find(time), time.size(), "time = \"3 weeks\"");
    call("subscribe");
    Json started;
    ASSERT_TRUE(until([&] {
      started = client->call("batch_start", {{"text", formula},
                                             {"file", "quayside-cured-pork.toml"},
                                             {"have", {"pork loin=1800 g"}}});
      return started.contains("result");
    })) << started;
    batch = started["result"]["batch"];
  }
  // Until the second daily line of this life, or the end; true for the line.
  bool until_tomorrow() {
    int lines = 0;
    while (const auto line = client->event()) {
      const Json event = Json::parse(*line);
      if (event["method"] != "entry") continue;
      const Json& entry = event["params"];
      if (entry["type"] == "held") holds.push_back(entry["body"]["what"]);
      if (entry["type"] == "batch state" && entry["body"]["state"] == "complete") return false;
      if (entry["type"] == "cue" && entry["body"]["id"] == "stands" && ++lines == 2) return true;
    }
    return false;
  }

  const Directory here;
  std::optional<Daemon> daemon;
  std::optional<Client> client;
  std::string batch;
  std::vector<std::string> holds;
};

TEST_F(Weeks, ThreeWithADaemonThatIsEndedEveryDay) {
  open_daemon();
  begin();
  int ended = 0;
  while (!HasFatalFailure() && until_tomorrow()) {
    ++ended;
    client.reset();
    EXPECT_EQ(daemon->stop(), 0);
    open_daemon();
    if (HasFatalFailure()) return;
    call("subscribe");
  }
  EXPECT_GE(ended, 10);
  EXPECT_THAT(holds, testing::IsEmpty());

  const Json report = call("batch_report", {{"batch", batch}});
  EXPECT_EQ(report["state"], "complete") << daemon->log();
  ASSERT_EQ(report["stands"].size(), 1u);
  const Json& stand = report["stands"][0];
  EXPECT_EQ(stand["restarts"], ended);
  EXPECT_EQ(stand["outside_ms"], 0);
  EXPECT_GE(stand["counted_ms"], 21 * 86'400'000LL);
  EXPECT_EQ(stand["evidence"], "measured");
  EXPECT_TRUE(stand["done"]);
  EXPECT_EQ(report["nitrite"]["verdict"], "kept");
  EXPECT_NEAR(report["nitrite"]["ppm"].get<double>(), 156, 12);

  const auto maslin = [&](const std::string& command) {
    return run({bin("maslin"), "--socket", (here / "socket").string(), command, batch});
  };
  const auto record = maslin("record");
  EXPECT_EQ(record.code, 0) << record.err;
  EXPECT_THAT(record.out, HasSubstr("sodium nitrite that"));  // a page is narrow
  EXPECT_THAT(record.out, HasSubstr("temperature while it"));
  EXPECT_THAT(record.out, HasSubstr("stands, 21 days"));
  EXPECT_THAT(record.out, HasSubstr("not measured"));
  EXPECT_THAT(record.out, HasSubstr("kitchen:room:1"));
  const auto verified = maslin("verify");
  EXPECT_EQ(verified.code, 0) << verified.out << verified.err;
}

}  // namespace
}  // namespace maslin::house
