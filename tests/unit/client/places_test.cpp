// Where the socket and the formulas are found.
#include "client/places.hpp"

#include <gmock/gmock.h>

#include <fstream>
#include <map>

#include "tests/scratch.hpp"

namespace maslin::client {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class Places : public testing::Test {
 protected:
  fs::path write(const fs::path& name, const std::string& text) {
    fs::create_directories((directory / name).parent_path());
    std::ofstream(directory / name, std::ios::binary) << text;
    return directory / name;
  }
  fs::path socket(const std::string& option) {
    return socket_path(option, [this](const char* name) -> std::optional<std::string> {
      const auto found = environment.find(name);
      if (found == environment.end()) return std::nullopt;
      return found->second;
    });
  }

  const test::Scratch scratch;
  const fs::path& directory = scratch.path();
  std::map<std::string, std::string> environment;
};

TEST_F(Places, TheSocketIsTheOptionThenTheVariableThenTheUsersThenTheSystems) {
  EXPECT_EQ(socket(""), "/run/maslin/socket");
  environment["XDG_RUNTIME_DIR"] = directory.string();
  EXPECT_EQ(socket(""), "/run/maslin/socket") << "the user runs no daemon of their own";
  write("maslin/socket", "");
  EXPECT_EQ(socket(""), directory / "maslin/socket");
  environment["MASLIN_SOCKET"] = "/b";
  EXPECT_EQ(socket(""), "/b");
  EXPECT_EQ(socket("/a"), "/a");
}

TEST_F(Places, AFormulaIsAFileOrTheNameOfOneThatComesAlong) {
  const fs::path file = write("mine.toml", "name = \"x\"\n");
  const fs::path program = write("bin/maslin", "");
  write("share/maslin/formulas/harbour-relish.toml", "shipped");
  EXPECT_EQ(read_formula(file.string(), program)->text, "name = \"x\"\n");
  EXPECT_EQ(read_formula("harbour-relish", program)->text, "shipped");
  EXPECT_EQ(read_formula("harbour-relish.toml", program)->file, "harbour-relish.toml");
  const auto unknown = read_formula("harbor-relish", program);
  ASSERT_FALSE(unknown.has_value());
  EXPECT_THAT(unknown.error().todo, HasSubstr("harbour-relish"));
}

TEST_F(Places, WhatCannotBeAFormulaIsRefusedWithItsPlace) {
  const fs::path program = directory / "bin/maslin";
  EXPECT_THAT(read_formula(directory.string(), program).error().what, HasSubstr("directory"));
  const auto huge = write("huge.toml", std::string(10U << 20U, 'x'));
  EXPECT_THAT(read_formula(huge.string(), program).error().what, HasSubstr("10240 KiB"));
  const auto latin = write("latin.toml", "a = 1\nb = \"½ K\xf6rnchen\"\n");
  EXPECT_EQ(read_formula(latin.string(), program).error().where, latin.string() + ":2:9");
  EXPECT_FALSE(read_formula("nowhere/x.toml", program).has_value());
}

}  // namespace
}  // namespace maslin::client
