// What a plugin sees of its host, and what the daemon sees of the plugin, through a socket pair.
#include "plugins/host/host.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <functional>
#include <thread>

#include "plugins/host/try.hpp"
#include "plugins/sdk/plugin.hpp"

namespace maslin::host {
namespace {

namespace link = proto::link;
using namespace std::chrono_literals;
using sdk::Time;

// Runs a plugin's body on a thread of its own; the test is the daemon.
class HostTest : public testing::Test {
 protected:
  void SetUp() override {
    std::array<int, 2> ends{};
    ASSERT_EQ(::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()), 0);
    daemon_.emplace(ends[0]);
    plugin_end_ = ends[1];
  }
  void TearDown() override {
    daemon_.reset();  // a body that still waits sees the daemon gone
    if (thread_.joinable()) thread_.join();
  }
  void plugin(bool paced, std::function<void(sdk::Host&)> body) {
    thread_ = std::thread([this, paced, body = std::move(body)] {
      Channel channel(plugin_end_);
      Host host(channel, "the argument", paced);
      sdk::Host seen(host.table());
      body(seen);
      host.flush();
    });
  }
  template <class T>
  T next() {
    auto packet = daemon_->wait();
    if (!packet) throw std::runtime_error("the host has gone");
    if (!std::holds_alternative<T>(*packet)) {
      throw std::runtime_error("another packet: " + std::to_string(packet->index()));
    }
    return std::get<T>(std::move(*packet));
  }
  void send(const link::Packet& packet) { daemon_->send(packet); }

  std::optional<Channel> daemon_;
  int plugin_end_ = -1;
  std::thread thread_;
};

constexpr std::int64_t ms = 1'000'000;

sdk::About bench() {
  return {.vendor = "quay", .product = "bench", .serial = "1", .label = "scale", .period = 200ms};
}

TEST_F(HostTest, TellsOfADeviceItsReadingsAndItsEnd) {
  plugin(false, [](sdk::Host& host) {
    auto scale = host.arrive(
        {.vendor = "v", .serial = "s", .label = "l", .interval = {1, -1}, .period = 200ms});
    scale.send({1234, -1}, MASLIN_STEADY, Time{77});
    scale.leave("unplugged");
  });
  const auto arrived = next<link::Arrived>();
  EXPECT_EQ(arrived.device, 1U);
  EXPECT_EQ(arrived.serial, "s");
  EXPECT_EQ(arrived.interval_exponent, -1);
  const auto readings = next<link::Readings>();
  const link::Reading expected{1, 77, 1234, proto::state::steady, -1, MASLIN_G, MASLIN_MASS};
  EXPECT_THAT(readings.all, testing::ElementsAre(expected));
  EXPECT_EQ(next<link::Left>().why, "unplugged");
}

TEST_F(HostTest, GivesTheArgumentAsASetting) {
  std::string argument;
  plugin(false, [&](sdk::Host& host) { argument = host.argument(); });
  thread_.join();
  EXPECT_EQ(argument, "the argument");
}

TEST_F(HostTest, SplitsALongListIntoPacketsOf128) {
  plugin(false, [](sdk::Host& host) {
    auto scale = host.arrive(bench());
    scale.send(std::vector(300, sdk::reading(MASLIN_MASS, MASLIN_G, {5, 0})));
  });
  next<link::Arrived>();
  EXPECT_EQ(next<link::Readings>().all.size(), 128U);
  EXPECT_EQ(next<link::Readings>().all.size(), 128U);
  EXPECT_EQ(next<link::Readings>().all.size(), 44U);
}

TEST_F(HostTest, RefusesADeviceOfAnUnknownQuantity) {
  bool accepted = true;
  plugin(false, [&](sdk::Host& host) { accepted = host.arrive({.quantity = 99}).accepted(); });
  EXPECT_THAT(next<link::Log>().text, testing::HasSubstr("unknown quantity"));
  thread_.join();
  EXPECT_FALSE(accepted);
}

// Each would be accepted by the types and go wrong later without a word.
TEST_F(HostTest, RefusesADeviceThatCouldNotWorkAndSaysWhatToSet) {
  struct Trap {
    std::function<void(sdk::About&)> set;
    std::string told;
  };
  const std::vector<Trap> traps{
      {[](auto& about) { about.quantity = MASLIN_TEMPERATURE; }, "'g' is no unit of temperature"},
      {[](auto& about) { about.unit = MASLIN_NO_UNIT; }, "set .unit"},
      {[](auto& about) { about.serial.clear(); }, "set .serial, or .port"},
      {[](auto& about) { about.period = 0ms; }, "set .period, or .only_on_change"},
  };
  std::vector<bool> accepted;
  plugin(false, [&](sdk::Host& host) {
    for (const auto& trap : traps) {
      auto about = bench();
      trap.set(about);
      accepted.push_back(host.arrive(about).accepted());
    }
  });
  for (const auto& trap : traps) {
    const auto log = next<link::Log>();
    EXPECT_EQ(log.level, MASLIN_LOG_ERROR);
    EXPECT_THAT(log.text, testing::HasSubstr(trap.told));
  }
  thread_.join();
  EXPECT_THAT(accepted, testing::Each(false));
}

TEST_F(HostTest, LetsInADeviceThatHasNoPeriod) {
  plugin(false, [](sdk::Host& host) {
    auto about = bench();
    about.period = 0ms;
    about.only_on_change = true;
    const auto scale = host.arrive(about);
    const auto pedal =
        host.arrive({.quantity = MASLIN_PRESS, .unit = MASLIN_COUNT, .port = "left"});
  });
  EXPECT_EQ(next<link::Arrived>().period_ns, 0);
  EXPECT_EQ(next<link::Arrived>().quantity, proto::Quantity::press);
}

TEST_F(HostTest, RefusesASecondOfOneIdentityUntilTheFirstHasLeft) {
  std::vector<bool> accepted;
  plugin(false, [&](sdk::Host& host) {
    auto first = host.arrive(bench());
    accepted.push_back(host.arrive(bench()).accepted());
    first.leave("unplugged");
    accepted.push_back(host.arrive(bench()).accepted());
  });
  next<link::Arrived>();
  EXPECT_THAT(next<link::Log>().text, testing::HasSubstr("there already"));
  next<link::Left>();
  next<link::Arrived>();
  thread_.join();
  EXPECT_THAT(accepted, testing::ElementsAre(false, true));
}

TEST_F(HostTest, AReadingThatDoesNotFitIsAFaultAndIsToldOnce) {
  plugin(false, [](sdk::Host& host) {
    const auto scale = host.arrive(bench());
    for (int i = 0; i < 2; ++i) {
      scale.send(sdk::reading(MASLIN_TEMPERATURE, MASLIN_CELSIUS, {998, -1}));
    }
    scale.send(sdk::reading(MASLIN_MASS, MASLIN_OZ, {4350, -3}));
  });
  next<link::Arrived>();
  EXPECT_THAT(next<link::Log>().text,
              testing::HasSubstr("measures mass but sends a reading of temperature in 'degC'"));
  EXPECT_EQ(next<link::Readings>().all.at(0).state, proto::state::fault);
  EXPECT_EQ(next<link::Readings>().all.at(0).state, proto::state::fault);
  const auto ounces = next<link::Readings>();
  EXPECT_EQ(ounces.all.at(0).state, 0) << "another unit of the same quantity is right";
  EXPECT_EQ(ounces.all.at(0).unit, MASLIN_OZ);
}

TEST_F(HostTest, NoValueIsNeverAWeightOfZero) {
  plugin(false, [](sdk::Host& host) {
    const auto scale = host.arrive(bench());
    scale.send_none(MASLIN_OVER);
    scale.send_none(0);
    scale.send_none(MASLIN_MOVING);
  });
  next<link::Arrived>();
  EXPECT_EQ(next<link::Readings>().all.at(0).state, proto::state::over);
  EXPECT_EQ(next<link::Readings>().all.at(0).state, proto::state::fault);
  EXPECT_EQ(next<link::Readings>().all.at(0).state, proto::state::moving | proto::state::fault);
}

TEST_F(HostTest, AStructOfANewerPluginIsReadByItsOwnSize) {
  struct Longer {
    maslin_reading known;
    std::int64_t added;
  };
  plugin(false, [](sdk::Host& host) {
    auto scale = host.arrive(bench());
    std::array<Longer, 2> both{};
    for (int i = 0; i < 2; ++i) {
      auto& one = both[static_cast<std::size_t>(i)];
      one.known = sdk::reading(MASLIN_MASS, MASLIN_G, {i + 1, 0});
      one.known.size = sizeof(Longer);
    }
    scale.send(std::span(&both[0].known, 2));
  });
  next<link::Arrived>();
  const auto readings = next<link::Readings>();
  ASSERT_EQ(readings.all.size(), 2U);
  EXPECT_EQ(readings.all[1].digits, 2);
}

TEST_F(HostTest, AWaitEndsWithTheDescriptor) {
  std::array<int, 2> pipe{};
  ASSERT_EQ(::pipe(pipe.data()), 0);
  sdk::Woke woke;
  plugin(false, [&](sdk::Host& host) { woke = host.wait(sdk::forever, pipe[0]); });
  ASSERT_EQ(::write(pipe[1], "x", 1), 1);
  thread_.join();
  EXPECT_TRUE(woke.fd());
  EXPECT_FALSE(woke.time());
  ::close(pipe[0]);
  ::close(pipe[1]);
}

TEST_F(HostTest, AWaitEndsWithStopAndWithTheDaemon) {
  sdk::Woke woke;
  plugin(false, [&](sdk::Host& host) { woke = host.wait(sdk::forever); });
  send(link::Stop{});
  thread_.join();
  EXPECT_TRUE(woke.stop());
}

TEST_F(HostTest, ACueEndsAWaitOfAPluginThatListens) {
  std::vector<std::string> heard;
  plugin(false, [&](sdk::Host& host) {
    host.listen();
    while (heard.size() < 2) {
      if (!host.wait(sdk::forever).cue()) return;
      while (const auto cue = host.next_cue()) heard.push_back(cue->entry);
    }
  });
  next<link::Listens>();
  send(link::Cue{1, "one"});
  send(link::Cue{2, "two"});
  thread_.join();
  EXPECT_THAT(heard, testing::ElementsAre("one", "two"));
}

TEST_F(HostTest, ACueIsTakenApartForThePlugin) {
  sdk::Cue heard;
  plugin(false, [&](sdk::Host& host) {
    host.listen();
    host.wait(sdk::forever);
    heard = host.next_cue().value();
  });
  next<link::Listens>();
  proto::Entry entry;
  entry.body = proto::Outcome(proto::Cue{"weigh", 2, "Now the sugar.", "sugar", 250'000'000});
  send(link::Cue{5, proto::entry_text(entry)});
  thread_.join();
  EXPECT_EQ(heard.at.count(), 5);
  EXPECT_EQ(heard.id, "weigh");
  EXPECT_EQ(heard.urgency, 2);
  EXPECT_EQ(heard.says, "Now the sugar.");
  EXPECT_EQ(heard.ingredient, "sugar");
  EXPECT_EQ(heard.amount_ug, 250'000'000);
  EXPECT_EQ(heard.entry, proto::entry_text(entry));
}

TEST_F(HostTest, SimulatedTimeStandsStillUntilItIsGranted) {
  std::vector<std::int64_t> times;
  plugin(true, [&](sdk::Host& host) {
    for (int i = 0; i < 4; ++i) {
      host.sleep(100ms);
      times.push_back(host.now().count() / ms);
    }
  });
  auto reached = next<link::Reached>();
  EXPECT_EQ(reached.t_ns, 0);
  EXPECT_EQ(reached.next_ns, 100 * ms);
  EXPECT_TRUE(times.empty());
  send(link::Grant{250 * ms});
  reached = next<link::Reached>();
  EXPECT_EQ(reached.t_ns, 250 * ms);
  EXPECT_EQ(reached.next_ns, 300 * ms);
  EXPECT_THAT(times, testing::ElementsAre(100, 200));
  send(link::Grant{1'000 * ms});
  thread_.join();
  EXPECT_THAT(times, testing::ElementsAre(100, 200, 300, 400));
}

TEST_F(HostTest, ReadingsOfAWindowStandBeforeItsEnd) {
  plugin(true, [](sdk::Host& host) {
    auto scale = host.arrive(bench());
    for (int i = 0; i < 3 && !host.sleep(10ms).stop(); ++i) scale.send({i, 0});
    host.wait(sdk::forever);
  });
  next<link::Arrived>();
  next<link::Reached>();
  send(link::Grant{100 * ms});
  const auto readings = next<link::Readings>();
  ASSERT_EQ(readings.all.size(), 3U);
  EXPECT_EQ(readings.all[0].at_ns, 10 * ms);
  EXPECT_EQ(readings.all[2].at_ns, 30 * ms);
  const auto reached = next<link::Reached>();
  EXPECT_EQ(reached.t_ns, 100 * ms);
  EXPECT_EQ(reached.next_ns, INT64_MAX);
}

// Two cues of one window must be heard together, however they lie on the link.
TEST_F(HostTest, InSimulatedTimeCuesComeWithTheNextGrantAllAtOnce) {
  std::vector<std::size_t> at_once;
  plugin(true, [&](sdk::Host& host) {
    host.listen();
    while (host.wait(host.now() + 500ms).cue()) {
      std::size_t count = 0;
      while (host.next_cue()) ++count;
      at_once.push_back(count);
    }
  });
  next<link::Listens>();
  next<link::Reached>();
  send(link::Cue{0, "one"});
  send(link::Cue{0, "two"});
  send(link::Grant{0});  // no more time, only the cues
  const auto reached = next<link::Reached>();
  EXPECT_EQ(reached.t_ns, 0);
  EXPECT_EQ(reached.next_ns, 500 * ms);
  EXPECT_THAT(at_once, testing::ElementsAre(2));
  send(link::Grant{500 * ms});
  thread_.join();
}

TEST_F(HostTest, SimulatedTimeIsWholeMilliseconds) {
  std::int64_t now = -1;
  plugin(true, [&](sdk::Host& host) {
    host.wait(Time{1'500'001});
    now = host.now().count();
  });
  EXPECT_EQ(next<link::Reached>().next_ns, 2 * ms);
  send(link::Grant{2 * ms});
  thread_.join();
  EXPECT_EQ(now, 2 * ms);
}

TEST(Channel, AFirstPacketOfAnotherVersionEndsTheWait) {
  std::array<int, 2> ends{};
  ASSERT_EQ(::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()), 0);
  Channel daemon(ends[0]);
  Channel host(ends[1]);
  auto bytes = link::encode(link::Settings{"", false});
  bytes[2] = std::byte{link::version + 1};  // behind the u16 of the packet's type
  ASSERT_GT(::send(ends[0], bytes.data(), bytes.size(), 0), 0);
  EXPECT_FALSE(host.first());
  daemon.send(link::Settings{"whole", false});
  EXPECT_EQ(std::get<link::Settings>(host.first().value()).argument, "whole");
}

TEST(Told, ReadingsAreJsonAndAllElseIsWords) {
  const link::Reading reading{2, 0, 1234, proto::state::steady, -1, MASLIN_G, MASLIN_MASS};
  EXPECT_EQ(told(link::Readings{{reading, reading}}).out.substr(0, 42),
            R"({"device":2,"quantity":"mass","value":123.)");
  link::Arrived arrived;
  arrived.device = 2;
  arrived.unit = proto::Unit::g;
  arrived.vendor = "quay";
  arrived.product = "bench";
  arrived.port = "tty0";
  arrived.period_ns = 200 * ms;
  EXPECT_EQ(told(arrived).err, "device 2 arrived: quay:bench@tty0, mass in g, every 0.200 s\n");
  EXPECT_EQ(told(arrived).out, "");
  EXPECT_EQ(told(link::Left{2, 0, "unplugged"}).err, "device 2 left: unplugged\n");
  EXPECT_EQ(told(link::Log{2, "not understood"}).err, "warning: not understood\n");
}

}  // namespace
}  // namespace maslin::host
