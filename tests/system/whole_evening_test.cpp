// The demonstration's evening through the real programs: two thermometers with roles, facts told
// beforehand, a night of cooling, seals; and the same again, byte for byte.
#include <gmock/gmock.h>

#include <algorithm>
#include <utility>

#include "tests/system/house.hpp"
#include "tests/system/record.hpp"

namespace maslin::house {
namespace {

constexpr const char* evening_plugin =
    "kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-evening.toml";

// Roles, altitude and facts told, and the batch begun.
void begin_evening(Client& client) {
  client.hello();
  client.call("subscribe");
  for (const auto& [role, device] :
       {std::pair{"pan", "kitchen:probe:1"}, {"canner", "kitchen:canner:1"}}) {
    const Json answer = client.call("assign", {{"role", role}, {"device", device}});
    EXPECT_TRUE(answer.contains("result")) << answer.dump();
  }
  client.call("settings_set", {{"altitude_m", 12}});
  const Json told =
      client.call("facts_set", {{"vinegar_pct", 5}, {"jar_ml", 250}, {"jars", 6}, {"lids", 6}});
  EXPECT_TRUE(told.contains("result")) << told.dump();
  const Json started = client.call(
      "batch_start",
      {{"text", read_file(MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-shelf-relish.toml")},
       {"file", "quayside-shelf-relish.toml"}});
  EXPECT_TRUE(started.contains("result")) << started.dump();
}

store::BatchRecord shelf_evening(DaemonOptions options) {
  options.plugins = {evening_plugin};
  const Directory here;
  Daemon daemon(here / "state", here / "socket", std::move(options));
  EXPECT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  begin_evening(client);
  EXPECT_TRUE(follow(client).ended);
  EXPECT_EQ(daemon.stop(), 0) << daemon.log();
  auto record = record_on_disk(here / "state", "");
  EXPECT_TRUE(record.has_value()) << proto::line(record.error());
  return record.value_or(store::BatchRecord{});
}

TEST(WholeEvening, EndsOnShelfAndInRefrigeratorAndIsTheSameAgain) {
  const auto first = shelf_evening({});
  EXPECT_EQ(first.row.state, "complete");
  const auto said = [&](const std::string& words) {
    return std::count_if(first.entries.begin(), first.entries.end(), [&](const auto& entry) {
      return entry.text.find(words) != std::string::npos;
    });
  };
  EXPECT_EQ(said("has lost its boil"), 1);
  EXPECT_EQ(said("\"where\":\"shelf\""), 1);
  EXPECT_EQ(said("\"what\":\"water bath done\""), 1);
  EXPECT_EQ(said("Jar 3 did not seal"), 1);

  const auto second = shelf_evening({.before = {"taskset", "-c", "0"}});
  ASSERT_EQ(second.entries.size(), first.entries.size());
  for (std::size_t i = 0; i < first.entries.size(); ++i) {
    ASSERT_EQ(second.entries[i].text, first.entries[i].text);
  }
  EXPECT_TRUE(second.readings == first.readings);
  EXPECT_EQ(second.row.last_hash, first.row.last_hash);
}

// What the engine makes of it stands in tests/scenario; here nothing that was published is lost,
// and the batch goes on where it stood.
class KilledIn : public testing::TestWithParam<const char*> {};

TEST_P(KilledIn, APhaseOfTheEveningTheBatchGoesOnAndTheRecordSaysSo) {
  const Directory here;
  std::vector<std::string> published;
  {
    DaemonOptions options;
    options.plugins = {evening_plugin};
    Daemon daemon(here / "state", here / "socket", options);
    ASSERT_TRUE(daemon.ready()) << daemon.log();
    Client client(daemon.socket());
    begin_evening(client);
    for (bool reached = false; !reached;) {
      const auto line = client.event();
      ASSERT_TRUE(line.has_value()) << "never reached";
      const auto text = entry_of(*line);
      if (!text) continue;
      const Json entry = Json::parse(*line)["params"];
      reached = entry["type"] == "phase began" && entry["body"]["kind"] == GetParam();
      if (entry["type"] != "cue" || entry["body"]["urgency"] != 4) published.push_back(*text);
    }
    daemon.kill();
  }
  DaemonOptions options;
  options.plugins = {evening_plugin};
  options.pace = "1";
  Daemon daemon(here / "state", here / "socket", options);
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  client.hello();
  const auto restarted = [&] {
    const Json log = client.call("batch_log", {{"batch", ""}, {"from_line", 0}});
    return log.dump().find("The daemon was started again") != std::string::npos;
  };
  EXPECT_TRUE(until(restarted));
  EXPECT_EQ(client.call("batch_verify", {{"batch", ""}})["result"]["answer"], "same");
  EXPECT_EQ(client.call("batch_status")["result"]["state"], "running");
  EXPECT_EQ(daemon.stop(), 0) << daemon.log();
  const auto record = record_on_disk(here / "state", "");
  ASSERT_TRUE(record.has_value()) << proto::line(record.error());
  ASSERT_GE(record->entries.size(), published.size());
  for (const auto& text : published) {
    EXPECT_TRUE(std::any_of(record->entries.begin(), record->entries.end(), [&](const auto& entry) {
      return entry.text == text;
    })) << text;
  }
}

INSTANTIATE_TEST_SUITE_P(Phases, KilledIn,
                         testing::Values("canner", "prepare", "weigh", "wait", "heat", "dwell",
                                         "fill", "water bath", "cool", "seal check"),
                         [](const auto& one) {
                           std::string name = one.param;
                           std::erase(name, ' ');
                           return name;
                         });

// What is said of jars long after the batch, and a fact put right then, reaches a batch that ended
// in another life of the daemon, and is on disk before it is answered.
TEST(LongAfterTheEvening, JarsAreMovedAFactIsPutRightAndTheRecordIsTheSameAgain) {
  const Directory here;
  DaemonOptions options;
  options.plugins = {evening_plugin};
  std::string batch;
  {
    Daemon daemon(here / "state", here / "socket", options);
    ASSERT_TRUE(daemon.ready()) << daemon.log();
    Client client(daemon.socket());
    begin_evening(client);
    ASSERT_TRUE(follow(client).ended);
    batch = client.call("batch_status")["result"]["batch"];
    ASSERT_EQ(daemon.stop(), 0) << daemon.log();
  }
  const auto jar = [&](std::vector<int> jars, const std::string& where, const std::string& text) {
    return Json{
        {"batch", batch}, {"what", "now"}, {"jars", jars}, {"where", where}, {"text", text}};
  };
  {
    Daemon daemon(here / "state", here / "socket", options);
    ASSERT_TRUE(daemon.ready()) << daemon.log();
    Client client(daemon.socket());
    client.hello();
    EXPECT_TRUE(
        client.call("batch_jars", jar({1}, "given", "the lighthouse keeper")).contains("result"));
    EXPECT_TRUE(client.call("batch_jars", jar({9}, "given", "nobody")).contains("error"));
    const Json amended = client.call(
        "batch_amend", {{"batch", batch}, {"what", "vinegar"}, {"figure", 4}, {"text", "label"}});
    ASSERT_TRUE(amended.contains("result")) << amended;
    EXPECT_THAT(amended["result"]["advice"].dump(), testing::HasSubstr("Tell who has it"));
    daemon.kill();
  }
  Daemon daemon(here / "state", here / "socket", options);
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  client.hello();
  const Json list = client.call("jars", {{"batch", batch}})["result"];
  EXPECT_THAT(list.dump(), testing::HasSubstr("Not for the shelf"));
  EXPECT_THAT(list["todo"].dump(), testing::HasSubstr("jar 1, given: Tell who has it"));
  EXPECT_THAT(client.call("jars", {{"all", true}, {"names", true}}).dump(),
              testing::HasSubstr("the lighthouse keeper"));
  // To whom a jar went is told to nobody who did not ask for names.
  const Json pages = {{"batch", batch}, {"from_line", 0}};
  for (const Json& answer :
       {list, client.call("batch_report", {{"batch", batch}}), client.call("batch_export", pages),
        client.call("batch_log", pages), client.call("review")}) {
    EXPECT_THAT(answer.dump(), testing::Not(testing::HasSubstr("lighthouse")));
  }
  const Json report = client.call("batch_report", {{"batch", batch}})["result"];
  EXPECT_THAT(report["may_be_called"].get<std::string>(), testing::HasSubstr("4 % acid"));
  EXPECT_EQ(report["ratios"][0]["verdict"], "broken");
  EXPECT_EQ(client.call("batch_verify", {{"batch", batch}})["result"]["answer"], "same");
  EXPECT_EQ(daemon.stop(), 0) << daemon.log();
}

}  // namespace
}  // namespace maslin::house
