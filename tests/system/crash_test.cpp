// kill -9 at random moments over whole simulated batches. Whatever was published as settled is in
// the record afterwards, at its place and with the same bytes; the chain holds; the record folds to
// the same decisions; and the batch goes on. Urgent cues are said before they are on disk, by
// design, and are not looked for.
#include <gmock/gmock.h>

#include <map>
#include <random>
#include <set>
#include <thread>

#include "daemon/session/rerun.hpp"
#include "tests/system/house.hpp"
#include "tests/system/record.hpp"

namespace maslin::house {
namespace {

using std::chrono::milliseconds;

constexpr int most_kills_a_batch = 8;  // a cook who forgot everything may never finish

class Kills : public testing::Test {
 protected:
  // One life of the daemon: takes up or starts a batch, and is killed in the middle of something.
  void live_once() {
    DaemonOptions options;
    const char* paces[] = {"200", "1000", "5000", "max", "max"};
    options.pace = paces[below(5)];
    Daemon daemon(here / "state", here / "socket", options);
    if (below(8) == 0) {  // killed while it starts
      std::this_thread::sleep_for(milliseconds(below(60)));
      daemon.kill();
      return;
    }
    ASSERT_TRUE(daemon.ready()) << daemon.log();
    Client client(daemon.socket());
    client.hello();
    // A kill before the first step was on disk leaves no batch; nothing of it was published then.
    if (!batch.empty() && !is_known(client)) batch.clear();
    if (!batch.empty()) verify();
    client.call("subscribe");
    begin_or_go_on(client);
    std::thread listens([&] { listen(client); });
    std::this_thread::sleep_for(milliseconds(below(700)));
    daemon.kill();
    listens.join();
  }

  // Until the connection ends. What is running when the client subscribes is told by the whole
  // state, and every other batch begins with its start.
  void listen(Client& client) {
    std::string of;
    while (const auto line = client.event()) {
      const Json event = Json::parse(*line);
      if (event["method"] == "whole_state") of = event["params"]["batch"];
      const auto text = entry_of(*line);
      if (!text) continue;
      const Json& entry = event["params"];
      if (entry["type"] == "start") of = entry["body"]["batch"];
      if (!is_urgent(entry)) published[of].push_back(*text);
    }
  }

  bool is_known(Client& client) const {
    const Json list = client.call("batch_list");
    for (const auto& one : list["result"]["batches"]) {
      if (one["batch"] == batch) return true;
    }
    return false;
  }

  void begin_or_go_on(Client& client) {
    const Json status = client.call("batch_status")["result"];
    const std::string state = status["state"];
    if (batch.empty() || state.empty() || state == "complete" || state == "stopped") {
      begin(client);
    } else if (++kills_of_batch > most_kills_a_batch) {
      const Json stopped = client.call("batch_stop", {{"text", "begin anew"}});
      ASSERT_EQ(stopped["result"]["state"], "stopped") << stopped;
      begin(client);
    }
  }

  void begin(Client& client) {
    Json started;
    // The devices may still be on their way to where simulated time was let go.
    ASSERT_TRUE(until([&] { return (started = start_relish(client)).contains("result"); }))
        << started;
    batch = started["result"]["batch"];
    kills_of_batch = 0;
  }

  void verify() {
    const auto said =
        run({bin("maslin"), "--socket", (here / "socket").string(), "--json", "verify", batch});
    EXPECT_EQ(said.code, 0) << said.out << said.err;
    EXPECT_EQ(Json::parse(said.out, nullptr, false).value("answer", ""), "same") << said.out;
  }

  // The record of every batch so far, as the kill left it.
  void nothing_is_lost() {
    for (const auto& [name, texts] : published) {
      const auto record = record_on_disk(here / "state", name);
      if (!record) {
        // The very first step may not have been on disk; then nothing of it was published.
        EXPECT_TRUE(texts.empty()) << name << ": " << proto::line(record.error());
        continue;
      }
      for (const auto& text : texts) {
        const auto place = Json::parse(text)["seq"].get<std::size_t>();
        ASSERT_LE(place, record->entries.size()) << name << " lost " << text;
        ASSERT_EQ(record->entries[place - 1].text, text) << name;
      }
      const auto again = session::rerun(*record);
      EXPECT_TRUE(again.same) << name << ": " << again.first_difference;
      if (record->row.state == "complete") complete.insert(name);
    }
    open_batch_was_killed += published.contains(batch) && !complete.contains(batch) ? 1 : 0;
    // What stands is checked; later lives can only add to the batch that is open.
    for (auto it = published.begin(); it != published.end();) {
      it = it->first == batch ? std::next(it) : published.erase(it);
    }
  }

  void kill_often(int times, unsigned seed) {
    random.seed(seed);
    for (int i = 0; i < times; ++i) {
      SCOPED_TRACE("kill " + std::to_string(i + 1) + ", seed " + std::to_string(seed));
      live_once();
      if (HasFatalFailure()) return;
      if (fs::exists(here / "state/maslin.db")) nothing_is_lost();
      if (HasFatalFailure()) return;
    }
    RecordProperty("complete", static_cast<int>(complete.size()));
    RecordProperty("killed_while_open", open_batch_was_killed);
    EXPECT_GE(open_batch_was_killed, times / 3);
  }

  int below(int bound) { return static_cast<int>(random() % static_cast<unsigned>(bound)); }

  const Directory here;
  std::mt19937 random;
  std::string batch;  // the newest one
  int kills_of_batch = 0;
  std::map<std::string, std::vector<std::string>> published;  // settled texts by batch
  std::set<std::string> complete;
  int open_batch_was_killed = 0;
};

TEST_F(Kills, TenTakeNothingThatWasPublished) { kill_often(10, 1); }

class SlowKills : public Kills {};
TEST_F(SlowKills, TwoHundredTakeNothingThatWasPublished) { kill_often(200, 2026); }

}  // namespace
}  // namespace maslin::house
