// Plugins run by hand with maslin-plughost: the templates of both languages on a file, the serial
// line on a pseudo terminal whose other end is pulled out and put back.
#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <csignal>

#include "tests/system/house.hpp"

namespace maslin::house {
namespace {

using testing::HasSubstr;

std::string plugin(const std::string& name) { return bin("plugins/" + name + ".so"); }

class Plughost : public testing::Test {
 protected:
  void try_out(const std::string& name, const std::string& argument) {
    process.emplace(std::vector<std::string>{bin("maslin-plughost"), "try", plugin(name), argument},
                    folder / "out", folder / "err");
  }
  std::string out() const { return read_file(folder / "out"); }
  std::string err() const { return read_file(folder / "err"); }
  bool printed(const std::string& part) const {
    return until([&] { return out().find(part) != std::string::npos; });
  }
  bool told(const std::string& part) const {
    return until([&] { return err().find(part) != std::string::npos; });
  }

  const Directory folder;
  std::optional<Process> process;
};

TEST_F(Plughost, TriesAPluginUntilItIsInterrupted) {
  const auto file = folder / "grams";
  write_file(file, "250\n");
  try_out("template", file);
  EXPECT_TRUE(printed(R"({"device":1,"quantity":"mass","value":250,"unit":"g","mass_g":250,)"));
  EXPECT_TRUE(told("device 1 arrived: template:file:" + file.string()));
  write_file(file, "half a pound\n");
  EXPECT_TRUE(printed("\"status\":\"fault\""));
  process->signal(SIGINT);
  EXPECT_EQ(process->wait(), 0);
  EXPECT_THAT(err(), HasSubstr("device 1 left"));
}

TEST_F(Plughost, TheTemplateAsksForItsFile) {
  const auto ran = run({bin("maslin-plughost"), "try", plugin("template")});
  EXPECT_EQ(ran.code, 1);
  EXPECT_THAT(ran.err, HasSubstr("error: give a file: --plugin template=PATH"));
}

TEST_F(Plughost, TheTemplateInCReadsItsFile) {
  const auto file = folder / "grams";
  write_file(file, "321\n");
  try_out("template-c", file);
  EXPECT_TRUE(printed(R"("value":321,"unit":"g","mass_g":321,"status":"steady")"));
  write_file(file, "32");
  EXPECT_TRUE(printed("\"status\":\"fault\"")) << "half a number is none";
  process->signal(SIGINT);
  EXPECT_EQ(process->wait(), 0);
}

TEST_F(Plughost, APluginBearsTheNameOfItsFile) {
  const auto copy = folder / "myscale.so";
  fs::copy_file(plugin("template"), copy);
  const auto ran = run({bin("maslin-plughost"), "try", copy});
  EXPECT_EQ(ran.code, 1);
  EXPECT_THAT(ran.err, HasSubstr("calls itself 'template'"));
  EXPECT_THAT(ran.err, HasSubstr("MASLIN_PLUGIN(\"myscale\", run)"));
}

// ---- a scale on a serial line ----

// The end of a serial line that the scale speaks into.
class Scale {
 public:
  Scale() : fd_(::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC)) {
    ::grantpt(fd_);
    ::unlockpt(fd_);
  }
  ~Scale() { unplug(); }
  Scale(const Scale&) = delete;
  Scale& operator=(const Scale&) = delete;
  std::string path() const { return ::ptsname(fd_); }
  void says(std::string_view bytes) const {
    EXPECT_EQ(::write(fd_, bytes.data(), bytes.size()), static_cast<ssize_t>(bytes.size()));
  }
  void unplug() {
    if (fd_ >= 0) ::close(std::exchange(fd_, -1));
  }

 private:
  int fd_;
};

TEST_F(Plughost, ASerialLineGivesWholeLinesOnly) {
  const Scale scale;
  try_out("serial-line", scale.path() + ",4800");
  ASSERT_TRUE(told("device 1 arrived: serial-line:scale@" + scale.path()));
  scale.says("0123.4 g\r\nUS,+00100.0 g\r\nST,+0123.4 g\r\nST,+00123.4 gr\r\n");
  scale.says("ST,+00");
  ASSERT_TRUE(printed("100.0"));
  scale.says("250.0 g\r\nOL\r\n");
  ASSERT_TRUE(printed("\"status\":\"over\""));
  EXPECT_EQ(
      out(),
      R"({"device":1,"quantity":"mass","value":100.0,"unit":"g","mass_g":100,"status":"moving"})"
      "\n"
      R"({"device":1,"quantity":"mass","value":250.0,"unit":"g","mass_g":250,"status":"steady"})"
      "\n"
      R"({"device":1,"quantity":"mass","value":null,"unit":"g","mass_g":null,"status":"over"})"
      "\n");
  EXPECT_THAT(err(), HasSubstr("not understood: 'ST,+0123.4 g'"));
  EXPECT_THAT(err(), testing::Not(HasSubstr("gr'"))) << "told once";
  process->signal(SIGTERM);
  EXPECT_EQ(process->wait(), 0);
}

TEST_F(Plughost, ASerialLineThatWasPulledOutIsFoundAgain) {
  const auto path = folder / "by-id";
  Scale first;
  fs::create_symlink(first.path(), path);
  try_out("serial-line", path);
  ASSERT_TRUE(told("device 1 arrived"));
  first.says("\nST,+00123.4 g\nST,+00");
  ASSERT_TRUE(printed("123.4"));
  fs::remove(path);
  first.unplug();
  ASSERT_TRUE(told("device 1 left: unplugged"));
  const Scale second;
  fs::create_symlink(second.path(), path);
  ASSERT_TRUE(told("device 2 arrived"));
  second.says("456.7 g\nST,+00250.0 g\n");
  ASSERT_TRUE(printed("250.0"));
  EXPECT_THAT(out(), testing::Not(HasSubstr("456.7"))) << "the two halves are of two lines";
}

TEST_F(Plughost, ASerialLineThatCannotBeOpenedSaysWhy) {
  const auto reason = [](const std::string& argument) {
    const auto ran = run({bin("maslin-plughost"), "try", plugin("serial-line"), argument});
    EXPECT_EQ(ran.code, 1);
    return ran.err;
  };
  EXPECT_THAT(reason(folder / "nix"), HasSubstr("nix: No such file"));
  EXPECT_THAT(reason(plugin("template")), HasSubstr("is no serial line"));
  EXPECT_THAT(reason(""), HasSubstr("give the line"));
  EXPECT_THAT(reason("/dev/null,300000"), HasSubstr("'300000' is no speed"));
}

// The bytes of a line, as `printf 'ST,+00123.4 g' | od -An -tx1` writes them.
TEST_F(Plughost, ALineIsDecodedWithoutADevice) {
  const auto decode = [](const std::string& report) {
    return run({bin("maslin-plughost"), "decode", plugin("serial-line"), "--report", report});
  };
  const auto whole = decode(" 53 54 2c 2b 30 30 31 32 33 2e 34 20 67");
  EXPECT_EQ(whole.code, 0);
  EXPECT_THAT(whole.out, HasSubstr("\"value\":123.4"));
  const auto half = decode(" 32 33 2e 34 20 67");
  EXPECT_EQ(half.code, 1);
  EXPECT_THAT(half.err, HasSubstr("not a line of this scale: '23.4 g'"));
}

}  // namespace
}  // namespace maslin::house
