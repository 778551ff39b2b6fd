// What the store promises while it works: order, durability, chunks, troubles and kept values.
#include <gmock/gmock.h>

#include <atomic>
#include <thread>

#include "daemon/store/database.hpp"
#include "kitchen.hpp"

namespace maslin::store {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

std::int64_t count(const std::filesystem::path& file, std::string_view sql) {
  auto database = Database::open(file, Database::Mode::read_only);
  return (*database)->number(sql).value_or(-1);
}

TEST_F(StoreTest, GivesBackWhatAStepPutIn) {
  open();
  const auto id = begin("2026-11-25-1");
  Script script(id);
  write(script.note("start").readings(14).note("weighed").step());
  open();
  const auto record = store->reader().load(id);
  ASSERT_TRUE(record.has_value()) << proto::line(record.error());
  EXPECT_EQ(record->row.name, "2026-11-25-1");
  EXPECT_EQ(record->row.formula, "Test relish");
  EXPECT_EQ(record->row.entries, 2);
  EXPECT_EQ(record->row.last_hash, script.hash());
  EXPECT_TRUE(record->row.open);
  ASSERT_EQ(record->entries.size(), 2U);
  EXPECT_EQ(record->entries[1].stamp.after_reading, 14U);
  EXPECT_EQ(record->readings.size(), 14U);
  EXPECT_TRUE(store->reader().check_intact(id).has_value());
}

TEST_F(StoreTest, PutsNothingOfABatchOnDiskBeforeItsFirstStep) {
  open();
  begin("2026-11-25-1");
  open();
  EXPECT_TRUE(store->reader().batches()->empty());
}

TEST_F(StoreTest, ReleasesEffectsInOrderAndOnlyOnceTheyAreDurable) {
  open();
  const auto id = begin("b");
  Script script(id);
  std::vector<int> released;
  for (int i = 0; i < 20; ++i) {
    ASSERT_TRUE(store->append(script.note("step").step(), [&, i] {
      released.push_back(i);
      EXPECT_GE(count(file(), "SELECT count(*) FROM entry"), i + 1);
    }));
  }
  ASSERT_TRUE(loop.run_until([&] { return released.size() == 20; }));
  EXPECT_TRUE(std::is_sorted(released.begin(), released.end()));
}

TEST_F(StoreTest, StepsThatQueueUpShareATransaction) {
  std::atomic<int> commits = 0;
  std::mutex gate;
  gate.lock();
  Options options;
  options.before_commit = [&]() -> std::optional<std::string> {
    const std::lock_guard lock(gate);
    ++commits;
    return std::nullopt;
  };
  open(std::move(options));
  const auto id = begin("b");
  Script script(id);
  ASSERT_TRUE(store->append(script.note("first").step()));
  for (int i = 0; i < 100; ++i) ASSERT_TRUE(store->append(script.readings(1).step()));
  gate.unlock();
  ASSERT_TRUE(store->drain(std::chrono::seconds(10)));
  EXPECT_LE(commits, 102 / 2);
  EXPECT_EQ(store->reader().load(id)->readings.size(), 100U);
}

TEST_F(StoreTest, MakesAChunkOfSixThousandReadings) {
  open();
  const auto id = begin("b");
  Script script(id);
  write(script.note("start").readings(5999).step());
  EXPECT_EQ(count(file(), "SELECT count(*) FROM chunk"), 0);
  write(script.readings(2).step());
  EXPECT_EQ(count(file(), "SELECT count(*) FROM chunk"), 1);
  EXPECT_EQ(count(file(), "SELECT count(*) FROM reading"), 1);
  EXPECT_EQ(store->reader().load(id)->readings.size(), 6001U);
}

TEST_F(StoreTest, MakesAChunkOfTheRestWhenTheBatchCloses) {
  open();
  const auto id = begin("b");
  Script script(id);
  write(script.note("start").readings(50).step());
  Step last = script.note("end").step();
  last.closes = true;
  last.state = "complete";
  write(std::move(last));
  EXPECT_EQ(count(file(), "SELECT count(*) FROM reading"), 0);
  const auto record = store->reader().load(id);
  EXPECT_EQ(record->readings.size(), 50U);
  EXPECT_FALSE(record->row.open);
  EXPECT_EQ(record->row.state, "complete");
  EXPECT_TRUE(store->reader().check_intact(id).has_value());
}

TEST_F(StoreTest, MakesTheChunkThatAKillPrevented) {
  open();
  const auto id = begin("b");
  Script script(id);
  write(script.note("start").readings(50).step());
  store.reset();
  {
    auto database = Database::open(file(), Database::Mode::create);
    ASSERT_TRUE((*database)->run("UPDATE batch SET open = 0").has_value());
  }
  open();
  write(Step{});
  EXPECT_EQ(count(file(), "SELECT count(*) FROM reading"), 0);
  EXPECT_TRUE(store->reader().check_intact(id).has_value());
}

TEST_F(StoreTest, LosesNothingWhileTheDiskIsFullAndSaysWhenItIsOver) {
  std::atomic<bool> full = false;
  Options options;
  options.retry = std::chrono::milliseconds(5);
  options.before_commit = [&]() -> std::optional<std::string> {
    if (full) return "the disk is full";
    return std::nullopt;
  };
  open(std::move(options));
  std::vector<std::string> said;
  store->on_trouble = [&](bool failing, std::string why) {
    said.push_back(failing ? why : "works again");
  };
  const auto id = begin("b");
  Script script(id);
  write(script.note("start").step());
  full = true;
  int released = 0;
  for (int i = 0; i < 10; ++i) {
    ASSERT_TRUE(store->append(script.readings(3).note("n").step(), [&] { ++released; }));
  }
  ASSERT_TRUE(loop.run_until([&] { return !said.empty(); }));
  EXPECT_EQ(store->waiting(), 10U);
  EXPECT_EQ(released, 0);
  full = false;
  ASSERT_TRUE(loop.run_until([&] { return released == 10; }));
  EXPECT_THAT(said, ElementsAre("the disk is full", "works again"));
  EXPECT_EQ(store->reader().load(id)->readings.size(), 30U);
  EXPECT_TRUE(store->reader().check_intact(id).has_value());
}

TEST_F(StoreTest, SaysThatItHasNoRoomBeforeMemoryRunsOut) {
  Options options;
  options.retry = std::chrono::hours(1);
  options.most_waiting_bytes = 100'000;
  options.before_commit = []() -> std::optional<std::string> { return "the disk is full"; };
  open(std::move(options));
  Script script(begin("b"));
  int taken = 0;
  while (store->append(script.readings(10).step()) && taken < 10'000) ++taken;
  EXPECT_GT(taken, 100);
  EXPECT_LT(taken, 1'000);
  EXPECT_LE(store->waiting_bytes(), 100'000U);
}

TEST_F(StoreTest, WritesWhatWaitsBeforeItGoes) {
  open();
  const auto id = begin("b");
  Script script(id);
  for (int i = 0; i < 50; ++i) ASSERT_TRUE(store->append(script.note("n").step()));
  open();
  EXPECT_EQ(store->reader().load(id)->entries.size(), 50U);
}

TEST_F(StoreTest, RunsNoCallbackAfterItHasGone) {
  open();
  Script script(begin("b"));
  bool released = false;
  ASSERT_TRUE(store->append(script.note("n").step(), [&] { released = true; }));
  store->read([&](Reader&) { return [&] { released = true; }; });
  store.reset();
  loop.run_posted();
  EXPECT_FALSE(released);
}

TEST_F(StoreTest, AnswersLongQuestionsInTheReaderThread) {
  open();
  const auto id = begin("b");
  Script script(id);
  write(script.note("start").readings(100).step());
  std::size_t readings = 0;
  std::thread::id there;
  store->read([&](Reader& reader) {
    there = std::this_thread::get_id();
    const auto record = reader.load(id);
    return [&, size = record->readings.size()] { readings = size; };
  });
  ASSERT_TRUE(loop.run_until([&] { return readings > 0; }));
  EXPECT_EQ(readings, 100U);
  EXPECT_TRUE(there != std::this_thread::get_id());
}

TEST_F(StoreTest, CountsTheBatchesOfADay) {
  constexpr std::int64_t kNoon = 1'795'608'000'000;  // 2026-11-25 12:00 UTC
  open();
  EXPECT_EQ(store->next_batch_name(kNoon), "2026-11-25-1");
  Script script(begin("2026-11-25-1"));
  write(script.note("start").step());
  EXPECT_EQ(store->next_batch_name(kNoon), "2026-11-25-2");
  open();
  EXPECT_EQ(store->next_batch_name(kNoon), "2026-11-25-2");
  EXPECT_EQ(store->next_batch_name(kNoon + 86'400'000), "2026-11-26-1");
  EXPECT_FALSE(store->new_batch("2026-11-25-1", "x", kNoon).has_value());
}

TEST_F(StoreTest, FindsABatchByNameOrTheNewest) {
  open();
  EXPECT_THAT(store->reader().find("").error().what, HasSubstr("no batch yet"));
  for (const char* name : {"a", "b"}) {
    Script script(begin(name));
    write(script.note("start").step());
  }
  EXPECT_EQ(store->reader().find("")->name, "b");
  EXPECT_EQ(store->reader().find("a")->name, "a");
  EXPECT_THAT(store->reader().find("c").error().todo, HasSubstr("b, a"));
  EXPECT_EQ(store->reader().batches()->front().name, "b");
}

TEST_F(StoreTest, KeepsSmallThingsByKey) {
  open();
  store->keep("role bench", "1b:2c:77");
  store->keep("role pan", "x");
  store->keep("role pan", "y");
  store->keep("settings", "{}");
  store->forget("settings");
  EXPECT_EQ(store->kept("role bench"), "1b:2c:77");
  ASSERT_TRUE(store->drain(std::chrono::seconds(10)));
  open();
  EXPECT_EQ(store->kept_under("role "),
            (std::map<std::string, std::string>{{"role bench", "1b:2c:77"}, {"role pan", "y"}}));
  EXPECT_EQ(store->kept("settings"), std::nullopt);
}

}  // namespace
}  // namespace maslin::store
