// The completion for bash, asked as bash asks it.
#include <gmock/gmock.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/scratch.hpp"

namespace maslin::client {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::ElementsAre;
using testing::IsSupersetOf;
using testing::UnorderedElementsAre;

// A program directory with formulas beside it, and a `maslin` that knows a device and a batch.
class Completion : public testing::Test {
 protected:
  void SetUp() override {
    for (const char* made : {"bin", "share/maslin/formulas", "here/drafts"}) {
      fs::create_directories(directory / made);
    }
    for (const char* file :
         {"share/maslin/formulas/quayside-onion-relish.toml",
          "share/maslin/formulas/quayside-pepper-jelly.toml", "here/mine.toml", "here/notes.txt"}) {
      std::ofstream(directory / file) << "# for its name only\n";
    }
    std::ofstream(directory / "bin/maslin")
        << "#!/bin/sh\n"
           "[ \"$1\" = --socket ] && id=5678:beef@1-2 && shift 2\n"
           "case $1 in\n"
           "devices) cat \"$0.devices\" 2>/dev/null ||\n"
           "  echo '{\"devices\":[{\"description\":{\"id\":\"'${id:-1234:abcd:7}'\"}}]}' ;;\n"
           "figure) if [ \"$2\" = guard ]; then echo '  --risk SHARE  of it'; else\n"
           "printf 'Subcommands:\\n  guard     how far\\n  smallest  what\\n\\nExample\\n'; fi ;;\n"
           "batches) echo '{\"batches\":[{\"batch\":\"2026-11-25-1\"}]}' ;;\n"
           "esac\n";
    fs::permissions(directory / "bin/maslin", fs::perms::owner_all);
  }

  // What is offered for the last of these words, which bash has cut at COMP_WORDBREAKS; `screen` is
  // what stands on the screen, the words with single blanks unless it is given.
  std::vector<std::string> offered(const std::string& words, const std::string& screen = "") {
    const std::string out = (directory / "out").string();
    std::ofstream(directory / "ask") << "cd " << (directory / "here").string() << "\n"
                                     << "PATH=" << (directory / "bin").string() << ":$PATH\n"
                                     << "source " MASLIN_SOURCE_DIR "/client/completion/maslin\n"
                                     << "COMP_WORDS=(" << words << ")\n"
                                     << "COMP_CWORD=$((${#COMP_WORDS[@]} - 1))\n"
                                     << "IFS= read -r COMP_LINE <<'end'\n"
                                     << screen << "\nend\n"
                                     << "[[ $COMP_LINE ]] || COMP_LINE=\"${COMP_WORDS[*]}\"\n"
                                     << "COMP_POINT=${#COMP_LINE}\n"
                                     << "_maslin\n"
                                     << "printf '%s\\n' \"${COMPREPLY[@]}\" >" << out << "\n";
    EXPECT_EQ(std::system(("bash --norc " + (directory / "ask").string()).c_str()), 0);
    std::ifstream in(out);
    std::vector<std::string> lines;
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
  }

  const test::Scratch scratch;
  const fs::path& directory = scratch.path();
};

TEST_F(Completion, OffersTheFormulasThatComeAlongAndThoseThatLieHere) {
  EXPECT_THAT(offered("maslin plan ''"),
              UnorderedElementsAre("quayside-onion-relish", "quayside-pepper-jelly", "mine.toml",
                                   "drafts"));
  EXPECT_THAT(offered("maslin start quayside-p"), ElementsAre("quayside-pepper-jelly"));
}

TEST_F(Completion, OffersDevicesBatchesAndRoles) {
  EXPECT_THAT(offered("maslin assign bench ''"), ElementsAre("1234:abcd:7"));
  EXPECT_THAT(offered("maslin assign pa"), ElementsAre("pan"));
  EXPECT_THAT(offered("maslin report ''"), ElementsAre("2026-11-25-1"));
}

TEST_F(Completion, OffersTheFiguresAndTheirOptionsAsTheirHelpListsThem) {
  EXPECT_THAT(offered("maslin figure ''"), ElementsAre("guard", "smallest"));
  EXPECT_THAT(offered("maslin figure guard --ri"), ElementsAre("--risk"));
}

// A name holds the characters at which bash cuts a line into words.
TEST_F(Completion, GoesOnWithinTheNameOfADevice) {
  EXPECT_THAT(offered("maslin assign bench 1234 : ab", "maslin assign bench 1234:ab"),
              ElementsAre("abcd:7"));
  EXPECT_THAT(offered("maslin assign bench 1234 : abcd :", "maslin assign bench 1234:abcd:"),
              ElementsAre("7"));
  EXPECT_THAT(offered("maslin assign bench 1234 : x", "maslin assign bench 1234:x"),
              ElementsAre(""));
  EXPECT_THAT(offered("maslin assign bench '\"1234:ab'", "maslin assign bench \"1234:ab"),
              ElementsAre("1234:abcd:7"));
}

TEST_F(Completion, AsksTheDaemonThatTheLineNames) {
  EXPECT_THAT(offered("maslin --socket /x assign bench ''", "maslin --socket /x assign bench "),
              ElementsAre("5678:beef@1-2"));
  EXPECT_THAT(offered("maslin assign --socket = /x bench 5678 : beef @",
                      "maslin assign --socket=/x bench 5678:beef@"),
              ElementsAre("1-2"));
}

// A serial number is foreign text: it is neither run now nor with the line that it completes.
TEST_F(Completion, NeverRunsWhatADeviceCallsItself) {
  std::ofstream(directory / "bin/maslin.devices")
      << R"json({"devices":[{"description":{"id":"1234:abcd:$(touch${IFS}ran)"}},)json"
      << R"json({"description":{"id":"1234:abcd:`touch ran`"}},{"description":{"id":"1234:abcd:*"}},)json"
      << R"json({"description":{"id":"1234:abcd:\"$(touch ran)"}}]})json"
      << "\n";
  const std::string line = "maslin assign bench 1234:abcd:";
  EXPECT_THAT(offered("maslin assign bench 1234 : abcd :", line),
              ElementsAre("\\$\\(touch\\$\\{IFS\\}ran\\)", "\\`touch\\ ran\\`", "\\*"));
  EXPECT_THAT(offered("maslin assign bench 1234 : abcd : '\\$\\(to'", line + "\\$\\(to"),
              ElementsAre("\\$\\(touch\\$\\{IFS\\}ran\\)"));
  EXPECT_THAT(offered("maslin assign bench '\"1234'", "maslin assign bench \"1234"),
              ElementsAre(""));
  EXPECT_FALSE(fs::exists(directory / "here/ran"));
}

// Every command and option of the program is offered: the help is the list.
TEST_F(Completion, KnowsEveryCommandAndOptionOfTheProgram) {
  const auto help = [&](const std::string& command) {
    const std::string out = (directory / "help").string();
    EXPECT_EQ(std::system((MASLIN_BIN_DIR "/maslin " + command + " --help >" + out).c_str()), 0);
    std::ifstream in(out);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  std::istringstream lines(help("").substr(help("").find("Subcommands:")));
  std::vector<std::string> commands;
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line) && line.starts_with("  ")) {
    std::istringstream words(line);
    std::string first;
    if (words >> first) commands.push_back(first);
  }
  ASSERT_GE(commands.size(), 19U);
  EXPECT_THAT(offered("maslin ''"), IsSupersetOf(commands));
  for (const std::string& command : commands) {
    const std::string text = help(command);
    EXPECT_THAT(text, testing::HasSubstr("Example: maslin " + command));
    const auto options = offered("maslin " + command + " --");
    for (std::size_t at = 0; (at = text.find("\n  --", at)) != std::string::npos; ++at) {
      const std::size_t end = text.find_first_of(" ,\n", at + 3);
      EXPECT_THAT(options, Contains(text.substr(at + 3, end - at - 3))) << command;
    }
  }
}

}  // namespace
}  // namespace maslin::client
