// What waits for a client: lines in order and bounded, of live events only the newest.
#include <gtest/gtest.h>

#include "daemon/rpc/methods.hpp"
#include "daemon/rpc/outbox.hpp"

namespace maslin::rpc {
namespace {

TEST(Outbox, GivesLinesInOrderAndTheLiveOneLast) {
  Outbox outbox;
  EXPECT_TRUE(outbox.empty());
  ASSERT_TRUE(outbox.add("one\n"));
  outbox.add_live("live\n");
  ASSERT_TRUE(outbox.add("two\n"));
  EXPECT_EQ(outbox.bytes(), 8U);
  EXPECT_EQ(outbox.take(), "one\ntwo\nlive\n");
  EXPECT_TRUE(outbox.empty());
  EXPECT_EQ(outbox.bytes(), 0U);
}

TEST(Outbox, KeepsOnlyTheNewestLiveEvent) {
  Outbox outbox;
  for (int i = 0; i < 1000; ++i) outbox.add_live(std::to_string(i) + "\n");
  EXPECT_EQ(outbox.take(), "999\n");
}

TEST(Outbox, RefusesWhatPassesItsBoundAndKeepsWhatItHas) {
  Outbox outbox;
  const std::string half(Outbox::most_waiting / 2, 'x');
  ASSERT_TRUE(outbox.add(half));
  ASSERT_TRUE(outbox.add(half));
  EXPECT_FALSE(outbox.add("y"));
  EXPECT_EQ(outbox.take().size(), 2 * half.size());
  EXPECT_TRUE(outbox.add("y"));
}

TEST(Outbox, TakesOneLineHoweverLong) {
  Outbox outbox;
  EXPECT_TRUE(outbox.add(std::string(3 * Outbox::most_waiting, 'x')));
  EXPECT_FALSE(outbox.add("y"));
}

TEST(Methods, HaveEachNameOnce) {
  for (const auto& method : methods()) EXPECT_EQ(find_method(method.name), &method);
  EXPECT_EQ(find_method("subscribe"), nullptr);
  EXPECT_EQ(find_method(""), nullptr);
}

}  // namespace
}  // namespace maslin::rpc
