// Days of drying through the real programs: a simulated drier and a cook who brings trays to the
// scale; what was eaten is told over the wire; the record is the same when it is folded again.
#include <gmock/gmock.h>

#include "tests/system/house.hpp"
#include "tests/system/record.hpp"

namespace maslin::house {
namespace {

TEST(Drying, AppleRingsOverNineDaysAreWeighedToTheirWaterAndTheRecordFoldsTheSame) {
  const Directory here;
  DaemonOptions options;
  options.plugins = {"kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-drying.toml"};
  Daemon daemon(here / "state", here / "socket", options);
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  client.hello();
  client.call("subscribe");
  const Json early = client.call("batch_eaten", {{"text", "30 g"}});
  EXPECT_TRUE(early.contains("error")) << early.dump();
  const Json started = client.call(
      "batch_start",
      {{"text", shipped_formula("quayside-apple-rings")}, {"file", "quayside-apple-rings.toml"}});
  ASSERT_TRUE(started.contains("result")) << started.dump();
  EXPECT_TRUE(follow(client).ended);
  const Json report = client.call("batch_report", {{"batch", ""}})["result"];
  EXPECT_EQ(report["state"], "complete");
  const std::string safety = client.call("batch_record", {{"batch", ""}}).dump();
  EXPECT_THAT(safety, testing::HasSubstr("dried to its target"));
  EXPECT_THAT(safety, testing::HasSubstr("no drops in the jar"));
  EXPECT_EQ(client.call("batch_verify", {{"batch", ""}})["result"]["answer"], "same");
  EXPECT_EQ(daemon.stop(), 0) << daemon.log();
}

}  // namespace
}  // namespace maslin::house
