// What is said of a command that there is none of.
#include "client/known.hpp"

#include <gmock/gmock.h>

namespace maslin::client {
namespace {

using testing::HasSubstr;
using testing::Not;

const std::vector<std::string> kNames{"plan", "start", "status", "report", "record", "jars"};

std::string said(const std::vector<std::string>& words) {
  const auto trouble = unknown_command(words, kNames);
  return trouble ? proto::line(*trouble) : "";
}

TEST(UnknownCommand, IsToldWithTheNearestOneAndAllThereAre) {
  EXPECT_EQ(said({"reprot"}),
            "reprot: there is no such command; did you mean maslin report? the commands are: plan, "
            "start, status, report, record, jars; maslin --help says what each does");
  EXPECT_THAT(said({"jar"}), HasSubstr("maslin jars?"));
  EXPECT_THAT(said({"stat"}), HasSubstr("maslin status?")) << "its beginning";
  EXPECT_THAT(said({"bogus"}), Not(HasSubstr("did you mean")));
}

TEST(UnknownCommand, IsTheFirstWordThatIsNoOption) {
  EXPECT_EQ(said({"--json", "plan", "bogus"}), "");
  EXPECT_EQ(said({"--socket", "/run/bogus", "plan"}), "");
  EXPECT_EQ(said({"--socket=/run/bogus", "plan"}), "");
  EXPECT_THAT(said({"--socket", "/run/x", "bogus"}), HasSubstr("bogus: there is no such command"));
  EXPECT_EQ(said({}), "");
  EXPECT_EQ(said({"--help"}), "");
}

}  // namespace
}  // namespace maslin::client
