// The same scenario gives the same record, byte for byte: whatever the pace, the disk, the
// listeners and the cores.
#include <gmock/gmock.h>
#include <unistd.h>

#include "tests/system/house.hpp"
#include "tests/system/record.hpp"

namespace maslin::house {
namespace {

class SameRecord : public testing::Test {
 protected:
  // The record of one evening.
  static store::BatchRecord evening(DaemonOptions options, bool with_slow_clients = false) {
    const Directory here;
    Daemon daemon(here / "state", here / "socket", std::move(options));
    EXPECT_TRUE(daemon.ready()) << daemon.log();
    Client client(daemon.socket());
    client.hello();
    client.call("subscribe");
    std::vector<std::unique_ptr<Client>> slow;
    for (int i = 0; with_slow_clients && i < 8; ++i) {
      slow.push_back(std::make_unique<Client>(daemon.socket()));
      slow.back()->hello();
      slow.back()->call("subscribe");  // and never reads on
    }
    EXPECT_TRUE(start_relish(client).contains("result"));
    const auto heard = follow(client);
    EXPECT_TRUE(heard.ended);
    EXPECT_EQ(daemon.stop(), 0) << daemon.log();
    auto record = record_on_disk(here / "state", "");
    EXPECT_TRUE(record.has_value()) << proto::line(record.error());
    return record.value_or(store::BatchRecord{});
  }

  static void SetUpTestSuite() { first = new store::BatchRecord(evening({})); }
  static void TearDownTestSuite() { delete first; }

  static void expect_same(const store::BatchRecord& record) {
    ASSERT_EQ(record.entries.size(), first->entries.size());
    for (std::size_t i = 0; i < record.entries.size(); ++i) {
      ASSERT_EQ(record.entries[i].text, first->entries[i].text);
    }
    EXPECT_TRUE(record.readings == first->readings);
    EXPECT_EQ(record.row.last_hash, first->row.last_hash);
  }

  static store::BatchRecord* first;
};

store::BatchRecord* SameRecord::first = nullptr;

TEST_F(SameRecord, IsOfAWholeEvening) {
  EXPECT_EQ(first->row.state, "complete");
  EXPECT_GT(first->entries.size(), 50U);
  EXPECT_GT(first->readings.size(), 5000U);
  EXPECT_EQ(first->row.last_hash.size(), 64U);
}

TEST_F(SameRecord, Again) { expect_same(evening({})); }

TEST_F(SameRecord, AtAHundredTimesTheSpeedOfLife) { expect_same(evening({.pace = "100"})); }

TEST_F(SameRecord, OnADiskThatTakesFiftyMillisecondsMore) {
  expect_same(evening({.environment = {{"MASLIN_TEST_COMMIT_DELAY_MS", "50"}}}));
}

TEST_F(SameRecord, WithClientsThatDoNotRead) { expect_same(evening({}, true)); }

TEST_F(SameRecord, OnOneCore) { expect_same(evening({.before = {"taskset", "-c", "0"}})); }

TEST_F(SameRecord, OnTwoCores) {
  const bool two = sysconf(_SC_NPROCESSORS_ONLN) > 1;
  expect_same(evening({.before = {"taskset", "-c", two ? "0,1" : "0"}}));
}

}  // namespace
}  // namespace maslin::house
