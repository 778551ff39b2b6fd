// The vocabulary of the session's tests: a session in real time over a store whose disk can be told
// to refuse, one scale that sends what the test says, and a listener that keeps all it hears.
#pragma once

#include <gtest/gtest.h>

#include <asio/post.hpp>
#include <atomic>
#include <fstream>
#include <functional>
#include <iterator>

#include "daemon/session/session.hpp"
#include "tests/scratch.hpp"

namespace maslin::session {

class Ear final : public Listener {
 public:
  void entry(const std::string&, const std::string& text) override { entries.push_back(text); }
  void progress(const std::string&, const std::string& text) override { live.push_back(text); }
  bool heard(const std::string& part) const {
    return std::any_of(entries.begin(), entries.end(),
                       [&](const auto& text) { return text.find(part) != text.npos; });
  }
  std::vector<std::string> entries;
  std::vector<std::string> live;
};

class StoveTest : public testing::Test {
 protected:
  void SetUp() override { begin(); }
  void TearDown() override { end(); }

  // A daemon's life without its processes and its socket.
  void begin(store::Options options = {}) {
    end();
    options.retry = std::chrono::milliseconds(5);
    options.before_commit = [this]() -> std::optional<std::string> {
      if (disk_full) return "the disk is full";
      return std::nullopt;
    };
    auto opened = store::Store::open(
        directory.path(), [this](std::function<void()> work) { asio::post(io, std::move(work)); },
        options);
    ASSERT_TRUE(opened.has_value()) << proto::line(opened.error());
    store = std::move(*opened);
    session = std::make_unique<Session>(io, *store, Pace{}, "test");
    devices = std::make_unique<devices::Devices>(io, devices::Config{}, *session);
    session->attach(*devices, ear);
    proto::link::Arrived about;
    about.unit = proto::Unit::g;
    about.interval_digits = 1;
    about.capacity_digits = 5000;
    about.vendor = "test";
    about.product = "scale";
    about.serial = "1";
    scale = devices->registry().arrived("test", false, about, now_ms());
    happen(devices::Happening::Kind::arrived);
    const auto taken_up = session->take_up_open_batch();
    ASSERT_TRUE(taken_up.has_value()) << proto::line(taken_up.error());
  }
  void end() {
    devices.reset();
    session.reset();
    store.reset();
    io.restart();
    io.poll();
  }

  static std::int64_t now_ms() { return runtime::RealClock().now_ms(); }
  void happen(devices::Happening::Kind kind, std::int64_t grams = 0) {
    devices::Happening one;
    one.kind = kind;
    one.at_ms = now_ms();
    one.device = scale;
    one.reading.at_ms = one.at_ms;
    one.reading.digits = grams;
    one.reading.unit = proto::Unit::g;
    session->happened({&one, 1});
  }
  void reading(std::int64_t grams) { happen(devices::Happening::Kind::reading, grams); }
  static std::string formula() {
    std::ifstream file(MASLIN_SOURCE_DIR "/daemon/formula/shipped/quayside-onion-relish.toml");
    return {std::istreambuf_iterator<char>(file), {}};
  }
  std::string start() {
    proto::PlanRequest request;
    request.text = formula();
    const auto status = session->start(request);
    EXPECT_TRUE(status.has_value()) << proto::line(status.error().front());
    return status ? status->batch : "";
  }
  void say(const std::string& word, const std::string& text = "") {
    const auto status = session->word(word, {"", text});
    EXPECT_TRUE(status.has_value()) << proto::line(status.error());
  }
  // Runs the loop until it holds; false after half a minute.
  bool until(const std::function<bool()>& holds) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    while (!holds() && std::chrono::steady_clock::now() < end) {
      io.restart();
      io.run_one_for(std::chrono::milliseconds(20));
    }
    return holds();
  }
  bool all_on_disk() {
    if (!until([&] { return store->waiting() == 0; })) return false;
    // The session hears of it a moment later, through the loop.
    bool told = false;
    session->when_durable([&] { told = true; });
    return until([&] { return told; });
  }
  // What is on disk, found intact.
  store::BatchRecord record() {
    EXPECT_TRUE(all_on_disk());
    const auto row = store->reader().find("");
    if (!row) {
      ADD_FAILURE() << proto::line(row.error());
      return {};
    }
    const auto intact = store->reader().check_intact(row->id);
    EXPECT_TRUE(intact.has_value()) << proto::line(intact.error());
    return store->reader().load(row->id).value_or(store::BatchRecord{});
  }

  const test::Scratch directory;
  asio::io_context io;
  std::atomic<bool> disk_full = false;
  Ear ear;
  devices::Number scale = 0;
  std::unique_ptr<store::Store> store;
  std::unique_ptr<Session> session;
  std::unique_ptr<devices::Devices> devices;
};

}  // namespace maslin::session
