// Plugins that read a file named in their argument: what they say where it cannot be read.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/system/house.hpp"

namespace maslin::house {
namespace {

TEST(NamedFile, ThatCannotBeReadIsToldWithWhatToDo) {
  const Directory here;
  for (const std::string plugin : {"trace=FILE.csv", "kitchen=FILE.toml"}) {
    const auto name = plugin.substr(0, plugin.find('='));
    const auto told = [&](const std::string& file) {
      const auto ran = run({bin("maslin-plughost"), "try", bin("plugins/" + name + ".so"), file});
      EXPECT_NE(ran.code, 0);
      return ran.err;
    };
    const auto todo = "; name a file that the daemon may read in --plugin " + plugin;
    EXPECT_THAT(told((here / "none").string()),
                testing::HasSubstr("none: No such file or directory" + todo));
    EXPECT_THAT(told(here.path().string()), testing::HasSubstr(": Is a directory" + todo));
  }
}

}  // namespace
}  // namespace maslin::house
