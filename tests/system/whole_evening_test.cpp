// The demonstration's evening through the real programs: two thermometers with roles, facts told
// beforehand, a night of cooling, seals; and the same again, byte for byte.
#include <gmock/gmock.h>

#include <algorithm>
#include <utility>

#include "tests/system/house.hpp"
#include "tests/system/record.hpp"

namespace maslin::house {
namespace {

store::BatchRecord shelf_evening(DaemonOptions options) {
  options.plugins = {"kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-evening.toml"};
  const Directory here;
  Daemon daemon(here / "state", here / "socket", std::move(options));
  EXPECT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
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

}  // namespace
}  // namespace maslin::house
