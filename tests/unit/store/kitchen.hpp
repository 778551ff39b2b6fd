// The vocabulary of the store's tests: a temporary state directory, a loop that runs what was
// posted, and batches made of numbered readings and chained entries.
#pragma once

#include <gtest/gtest.h>

#include <condition_variable>
#include <deque>
#include <filesystem>
#include <map>
#include <mutex>

#include "daemon/record/chain.hpp"
#include "daemon/store/store.hpp"
#include "proto/entry.hpp"
#include "tests/scratch.hpp"

namespace maslin::store {

class Loop {
 public:
  Store::Post post() {
    return [this](std::function<void()> job) {
      const std::lock_guard lock(mutex_);
      jobs_.push_back(std::move(job));
      came_.notify_all();
    };
  }
  // Runs what was posted until `done`; false after ten seconds without it.
  bool run_until(const std::function<bool()>& done) {
    while (!done()) {
      std::function<void()> job;
      {
        std::unique_lock lock(mutex_);
        if (!came_.wait_for(lock, std::chrono::seconds(10), [this] { return !jobs_.empty(); })) {
          return false;
        }
        job = std::move(jobs_.front());
        jobs_.pop_front();
      }
      job();
    }
    return true;
  }
  void run_posted() {
    std::deque<std::function<void()>> jobs;
    {
      const std::lock_guard lock(mutex_);
      jobs.swap(jobs_);
    }
    for (auto& job : jobs) job();
  }

 private:
  std::mutex mutex_;
  std::condition_variable came_;
  std::deque<std::function<void()>> jobs_;
};

// A batch as the session writes one.
class Script {
 public:
  explicit Script(std::int64_t batch) : batch_(batch) { step_.batch = batch; }

  Script& readings(int count) {
    for (int i = 0; i < count; ++i) {
      proto::Reading r;
      r.number = ++number_;
      r.at_ms = 1000 + static_cast<std::int64_t>(number_) * 100;
      r.digits = static_cast<std::int64_t>(number_ * 37 % 1000);
      r.exponent = -1;
      r.unit = proto::Unit::g;
      chain_.take(r);
      step_.readings.push_back(r);
    }
    return *this;
  }
  Script& note(const std::string& text) {
    proto::Entry entry;
    entry.stamp = {++sequence_, 1000 + static_cast<std::int64_t>(number_) * 100,
                   1'790'000'000'000 + sequence_, number_};
    entry.body = proto::Outcome(proto::Noted{text});
    EntryRow row;
    row.stamp = entry.stamp;
    row.type = "noted";
    row.text = proto::entry_text(entry);
    row.hash = chain_.add(row.text);
    step_.entries.push_back(row);
    return *this;
  }
  Step step() {
    Step out = std::move(step_);
    step_ = {};
    step_.batch = batch_;
    return out;
  }
  const std::string& hash() const { return chain_.last(); }

 private:
  std::int64_t batch_;
  std::int64_t sequence_ = 0;
  std::uint64_t number_ = 0;
  record::Chain chain_;
  Step step_;
};

class StoreTest : public testing::Test {
 protected:
  void TearDown() override { store.reset(); }
  void open(Options options = {}) {
    store.reset();
    auto opened = Store::open(directory, loop.post(), std::move(options));
    ASSERT_TRUE(opened.has_value()) << proto::line(opened.error());
    store = std::move(*opened);
  }
  proto::Trouble refusal() {
    store.reset();
    auto opened = Store::open(directory, loop.post());
    if (opened) return {"it was opened", "", ""};
    return opened.error();
  }
  std::int64_t begin(const std::string& name) {
    const auto id = store->new_batch(name, "Test relish", 1'790'000'000'000);
    EXPECT_TRUE(id.has_value());
    return id.value_or(0);
  }
  void write(Step step) {
    ASSERT_TRUE(store->append(std::move(step)));
    ASSERT_TRUE(store->drain(std::chrono::seconds(10)));
  }
  std::filesystem::path file() const { return directory / kFileName; }

  const test::Scratch scratch;
  const std::filesystem::path& directory = scratch.path();
  Loop loop;
  std::unique_ptr<Store> store;
};

}  // namespace maslin::store
