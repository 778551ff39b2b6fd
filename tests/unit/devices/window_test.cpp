// The order of a window of simulated time must not depend on which process was quicker.
#include "daemon/devices/window.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace maslin::devices {
namespace {

namespace link = proto::link;
constexpr std::int64_t ms = 1'000'000;

link::Reading reading(std::int64_t at_ms, std::int64_t digits, std::uint32_t device = 1) {
  return {device, at_ms * ms, digits, 0, 0, 2, 1};
}
link::Arrived arrived(std::int64_t at_ms, std::uint32_t device = 1) {
  link::Arrived what;
  what.device = device;
  what.at_ns = at_ms * ms;
  return what;
}
std::string line(const std::vector<Event>& events) {
  std::string text;
  for (const auto& event : events) {
    text += std::to_string(event.at_ms) + "/" + std::to_string(event.plugin) + ":";
    if (const auto* one = std::get_if<link::Reading>(&event.what)) {
      text += std::to_string(one->digits) + " ";
    } else {
      text += std::holds_alternative<link::Arrived>(event.what) ? "arrived " : "left ";
    }
  }
  return text;
}

TEST(Window, SortsByTimeThenPluginThenItsOwnOrder) {
  Window window;
  window.open(0, 100);
  window.add(1, reading(20, 1));
  window.add(1, reading(20, 2));
  window.add(0, reading(30, 3));
  window.add(0, reading(20, 4));  // the same device, earlier: kept behind
  window.add(0, reading(20, 5, 2));
  EXPECT_EQ(line(window.close()), "20/0:5 20/1:1 20/1:2 30/0:3 30/0:4 ");
  EXPECT_EQ(window.size(), 0U);
}

TEST(Window, IsTheSameWhicheverProcessWasQuicker) {
  Window one;
  Window other;
  one.open(0, 100);
  other.open(0, 100);
  for (int i = 0; i < 10; ++i) one.add(0, reading(i * 10, i));
  for (int i = 0; i < 10; ++i) one.add(1, reading(i * 7, i));
  for (int i = 0; i < 10; ++i) other.add(1, reading(i * 7, i));
  for (int i = 0; i < 10; ++i) other.add(0, reading(i * 10, i));
  EXPECT_EQ(line(one.close()), line(other.close()));
}

TEST(Window, StampsOutsideAreMovedInside) {
  Window window;
  window.open(50, 100);
  window.add(0, reading(10, 1));
  window.add(0, reading(500, 2));
  EXPECT_EQ(line(window.close()), "50/0:1 100/0:2 ");
}

TEST(Window, AReadingIsNeverBeforeItsArrivalNorBehindItsDeparture) {
  Window window;
  window.open(0, 100);
  window.add(0, arrived(60));
  window.add(0, reading(20, 1));
  window.add(0, link::Left{1, 10 * ms, ""});
  EXPECT_EQ(line(window.close()), "60/0:arrived 60/0:1 60/0:left ");
}

TEST(Window, RoundsToTheNearestMillisecond) {
  EXPECT_EQ(nearest_ms(1'499'999), 1);
  EXPECT_EQ(nearest_ms(1'500'000), 2);
  EXPECT_EQ(nearest_ms(-1'500'000), -2);
  EXPECT_EQ(nearest_ms(INT64_MAX), INT64_MAX / ms + 1);
}

}  // namespace
}  // namespace maslin::devices
