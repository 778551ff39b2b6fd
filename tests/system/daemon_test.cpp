// The daemon and the client where something is not as it should be: directories, databases,
// sockets, disks, words. Both say what is wrong and what to do; nothing is started half-way and
// nothing of what is there is overwritten.
#include <gmock/gmock.h>
#include <sqlite3.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <unistd.h>

#include <csignal>

#include "daemon/session/rerun.hpp"
#include "tests/system/house.hpp"
#include "tests/system/record.hpp"

namespace maslin::house {
namespace {

using testing::AllOf;
using testing::HasSubstr;

class Starting : public testing::Test {
 protected:
  std::vector<std::string> words(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> all = {bin("maslind"),
                                    "--state",
                                    (here / "state").string(),
                                    "--socket",
                                    (here / "socket").string(),
                                    "--pace",
                                    "max"};
    all.insert(all.end(), more.begin(), more.end());
    return all;
  }
  // What the daemon says when it refuses to start.
  std::string refusal(const std::vector<std::string>& more = {}) const {
    const auto ran = run(words(more));
    EXPECT_EQ(ran.code, 1) << ran.err;
    EXPECT_FALSE(fs::exists(here / "socket") && fs::is_socket(here / "socket"));
    return ran.err;
  }
  // A state directory with one finished batch.
  void make_state() {
    Daemon daemon(here / "state", here / "socket");
    ASSERT_TRUE(daemon.ready()) << daemon.log();
    Client client(daemon.socket());
    client.hello();
    ASSERT_TRUE(start_relish(client).contains("result"));
    client.call("batch_stop");
    ASSERT_EQ(daemon.stop(), 0);
  }
  fs::path database() const { return here / "state/maslin.db"; }

  const Directory here;
};

TEST_F(Starting, ASecondDaemonOnOneStateDirectoryNamesTheFirst) {
  Daemon first(here / "state", here / "first");
  ASSERT_TRUE(first.up()) << first.log();
  EXPECT_THAT(refusal(), HasSubstr("process " + std::to_string(first.process().pid())));
  Client client(first.socket());
  client.hello();
  EXPECT_TRUE(client.call("devices").contains("result"));
  first.kill();  // the lock goes with the process
  Daemon second(here / "state", here / "socket");
  EXPECT_TRUE(second.up()) << second.log();
}

TEST_F(Starting, ASocketThatSomebodyListensToIsLeftToHim) {
  Daemon first(here / "first", here / "socket");
  ASSERT_TRUE(first.up()) << first.log();
  const auto ran = run(words());
  EXPECT_EQ(ran.code, 1);
  EXPECT_THAT(ran.err, HasSubstr("another daemon listens there"));
  Client client(first.socket());
  ASSERT_TRUE(client.connected());
  client.hello();
}

TEST_F(Starting, ASocketThatIsLeftOverIsReplaced) {
  Daemon first(here / "state", here / "socket");
  ASSERT_TRUE(first.up()) << first.log();
  first.kill();
  ASSERT_TRUE(fs::is_socket(here / "socket"));
  Daemon second(here / "state", here / "socket");
  EXPECT_TRUE(second.up()) << second.log();
  EXPECT_EQ(second.stop(), 0);
  EXPECT_FALSE(fs::exists(here / "socket"));
}

TEST_F(Starting, SomethingElseInThePlaceOfTheSocketStays) {
  write_file(here / "socket", "my notes");
  EXPECT_THAT(refusal(), HasSubstr("something else than a socket"));
  EXPECT_EQ(read_file(here / "socket"), "my notes");
}

TEST_F(Starting, ASocketPathThatIsTooLongIsNamed) {
  const auto ran = run({bin("maslind"), "--state", (here / "state").string(), "--socket",
                        (here / std::string(150, 's')).string(), "--pace", "max"});
  EXPECT_EQ(ran.code, 1);
  EXPECT_THAT(ran.err, HasSubstr("--socket"));
}

TEST_F(Starting, AFileInThePlaceOfTheStateDirectoryStays) {
  write_file(here / "state", "my notes");
  EXPECT_THAT(refusal(), AllOf(HasSubstr("state directory"), HasSubstr("--state")));
  EXPECT_EQ(read_file(here / "state"), "my notes");
}

TEST_F(Starting, AStateDirectoryThatCannotBeMadeIsNamed) {
  // Not even root can write there.
  const auto ran = run({bin("maslind"), "--state", "/proc/maslin", "--socket",
                        (here / "socket").string(), "--pace", "max"});
  EXPECT_EQ(ran.code, 1);
  EXPECT_THAT(ran.err, AllOf(HasSubstr("/proc/maslin"), HasSubstr("--state")));
}

TEST_F(Starting, ADatabaseOfANewerVersionIsLeftAsItIs) {
  make_state();
  sqlite3* handle = nullptr;
  ASSERT_EQ(sqlite3_open(database().c_str(), &handle), SQLITE_OK);
  ASSERT_EQ(sqlite3_exec(handle, "PRAGMA user_version=99", nullptr, nullptr, nullptr), SQLITE_OK);
  sqlite3_close(handle);
  const std::string before = read_file(database());
  EXPECT_THAT(refusal(), AllOf(HasSubstr("newer version"), HasSubstr("99")));
  EXPECT_EQ(read_file(database()), before);
}

TEST_F(Starting, ADamagedDatabaseIsLeftAsItIs) {
  make_state();
  std::string bytes = read_file(database());
  for (std::size_t i = 4096; i < bytes.size(); i += 7) bytes[i] = static_cast<char>(i);
  write_file(database(), bytes);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("maslin.db"), HasSubstr("damaged")));
  EXPECT_EQ(read_file(database()), bytes);
  write_file(database(), "Dear diary, this is no database at all.");
  EXPECT_THAT(refusal(), HasSubstr("no database"));
}

TEST_F(Starting, WordsThatAreWrongAreUsage) {
  EXPECT_EQ(run(words({"--pace", "fast"})).code, 2);
  EXPECT_EQ(run(words({"--colour", "red"})).code, 2);
  EXPECT_EQ(run(words({"--settings", (here / "nothing").string()})).code, 2);
  write_file(here / "settings", "altitude: high");
  EXPECT_THAT(refusal({"--settings", (here / "settings").string()}), HasSubstr("settings"));
  write_file(here / "settings", R"({"altitude_m": 20000})");
  EXPECT_THAT(refusal({"--settings", (here / "settings").string()}), HasSubstr("altitude"));
}

TEST_F(Starting, APluginThatIsMissingIsNamedAndTheOthersRun) {
  DaemonOptions options;
  options.plugins = {"no-such-plugin",
                     "kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-relish.toml"};
  Daemon daemon(here / "state", here / "socket", options);
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  client.hello();
  const Json plugins = client.call("devices")["result"]["plugins"];
  ASSERT_EQ(plugins.size(), 2U);
  EXPECT_EQ(plugins[0]["condition"], "missing");
  EXPECT_THAT(plugins[0]["why"].get<std::string>(), HasSubstr("no-such-plugin"));
  EXPECT_EQ(plugins[1]["condition"], "running");
}

// ---- the client ---------------------------------------------------------------------------------

class Asking : public testing::Test {
 protected:
  Ran maslin(const std::vector<std::string>& more) const {
    std::vector<std::string> all = {bin("maslin"), "--socket", (here / "socket").string()};
    all.insert(all.end(), more.begin(), more.end());
    return run(all);
  }
  const Directory here;
};

TEST_F(Asking, ExitCodesSayHowItWent) {
  Daemon daemon(here / "state", here / "socket", {.pace = "1"});
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  EXPECT_EQ(maslin({"devices"}).code, 0);
  EXPECT_EQ(maslin({"check", "quayside-onion-relish"}).code, 0);
  EXPECT_EQ(maslin({"plan", "quayside-onion-relish", "--have", "onion=340 g"}).code, 0);

  const auto no_batch = maslin({"report"});
  EXPECT_EQ(no_batch.code, 1);
  EXPECT_FALSE(no_batch.err.empty());
  EXPECT_EQ(maslin({"ok"}).code, 1);
  EXPECT_EQ(maslin({"start", "no-such-formula"}).code, 1);
  EXPECT_EQ(maslin({"plan", "quayside-onion-relish", "--factor", "1e9"}).code, 1);
  EXPECT_EQ(maslin({"assign", "bench", "no-such-device"}).code, 1);

  EXPECT_EQ(maslin({}).code, 2);
  EXPECT_EQ(maslin({"bake"}).code, 2);
  EXPECT_EQ(maslin({"plan", "quayside-onion-relish", "--jars", "two"}).code, 2);
  EXPECT_EQ(maslin({"plan", "quayside-onion-relish", "--factor", "nan"}).code, 2);
  EXPECT_EQ(maslin({"accept"}).code, 2);
}

TEST_F(Asking, WithoutADaemonItSaysHowToStartOne) {
  const auto none = maslin({"status"});
  EXPECT_EQ(none.code, 3);
  EXPECT_THAT(none.err, AllOf(HasSubstr("no daemon"), HasSubstr("maslind --socket")));

  Daemon daemon(here / "state", here / "socket");
  ASSERT_TRUE(daemon.up());
  daemon.kill();
  const auto left_over = maslin({"status"});
  EXPECT_EQ(left_over.code, 3);
  EXPECT_THAT(left_over.err, HasSubstr("no daemon"));
}

TEST_F(Asking, WithoutPermissionItSaysSo) {
  Daemon daemon(here / "state", here / "socket");
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  if (geteuid() != 0) {  // only root can become another user; anybody can lock the door
    fs::permissions(here / "socket", fs::perms::none);
    const auto locked = maslin({"status"});
    EXPECT_EQ(locked.code, 3);
    EXPECT_THAT(locked.err, HasSubstr("no permission"));
    return;
  }
  // A copy that another user may run, beside a socket whose directory he may enter.
  fs::permissions(here.path(), fs::perms::owner_all | fs::perms::others_exec);
  fs::copy_file(bin("maslin"), here / "maslin");
  fs::permissions(here / "maslin", fs::perms::owner_all | fs::perms::others_exec);
  const auto other =
      run({"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups",
           (here / "maslin").string(), "--socket", (here / "socket").string(), "status"});
  EXPECT_EQ(other.code, 3) << other.err;
  EXPECT_THAT(other.err, AllOf(HasSubstr("no permission"), HasSubstr("sudo -u root maslin")));

  // Where the installer opens the socket to everybody, others may look and not touch.
  fs::permissions(here / "socket", fs::perms::all);
  const auto ask = [&](const std::string& command) {
    return run({"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups",
                (here / "maslin").string(), "--socket", (here / "socket").string(), command});
  };
  EXPECT_EQ(ask("devices").code, 0);
  const auto touched = ask("ok");
  EXPECT_EQ(touched.code, 1);
  EXPECT_THAT(touched.err, HasSubstr("may only look"));
  // A member of the socket's group may act, though it is not the group the member runs under.
  fs::permissions(here.path(), fs::perms::group_exec, fs::perm_options::add);
  fs::permissions(here / "maslin", fs::perms::group_exec, fs::perm_options::add);
  const auto member =
      run({"setpriv", "--reuid=65534", "--regid=65534", "--groups=" + std::to_string(getegid()),
           (here / "maslin").string(), "--socket", (here / "socket").string(), "ok"});
  EXPECT_THAT(member.err, HasSubstr("no batch is running"));
}

// ---- a full disk --------------------------------------------------------------------------------

// Full in two ways: a small disk of its own, where one may be mounted here, and everywhere a limit
// on what the daemon may write, which refuses every file that grows.
class FullDisk : public testing::TestWithParam<const char*> {
 protected:
  void SetUp() override {
    fs::create_directory(disk);
    mounted = GetParam() == std::string_view("small disk") &&
              mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=1m") == 0;
  }
  void TearDown() override {
    if (mounted) {
      EXPECT_EQ(umount(disk.c_str()), 0);
    }
  }
  void fill(Daemon& daemon) {
    if (mounted) {
      write_file(filler, std::string(2'000'000, 'x'));  // as much as fits
    } else {
      limit(daemon, fs::file_size(disk / "state" / "maslin.db-wal"));
    }
  }
  void make_room(Daemon& daemon) {
    if (mounted) {
      fs::remove(filler);
    } else {
      limit(daemon, RLIM_INFINITY);
    }
  }
  // Soft only, so that it can be lifted again by anybody.
  static void limit(Daemon& daemon, rlim_t bytes) {
    rlimit files{};
    ASSERT_EQ(prlimit(daemon.process().pid(), RLIMIT_FSIZE, nullptr, &files), 0);
    files.rlim_cur = std::min(bytes, files.rlim_max);
    ASSERT_EQ(prlimit(daemon.process().pid(), RLIMIT_FSIZE, &files, nullptr), 0);
  }
  const Directory here;
  const fs::path disk = here / "disk";
  const fs::path filler = disk / "filler";
  bool mounted = false;
};

TEST_P(FullDisk, HoldsTheBatchAndGoesOnWhenThereIsRoom) {
  Daemon daemon(disk / "state", here / "socket", {.pace = "1"});
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  client.hello();
  client.call("subscribe");
  ASSERT_TRUE(start_relish(client).contains("result"));
  fill(daemon);

  // Its word is taken, since what was weighed must not be lost; the disk then says no.
  const std::string text(4'000, 'n');
  int taken = 0;
  EXPECT_TRUE(until([&] {
    if (client.call("batch_status")["result"]["state"] == "held") return true;
    taken += client.call("batch_note", {{"text", text}}).contains("result") ? 1 : 0;
    return false;
  }));
  ASSERT_GT(taken, 0);
  EXPECT_THAT(client.call("batch_status")["result"]["hold"].get<std::string>(),
              HasSubstr("record"));
  EXPECT_TRUE(client.call("batch_start", {{"text", ""}}).contains("error"));

  make_room(daemon);
  EXPECT_TRUE(until([&] { return client.call("batch_status")["result"]["state"] == "running"; }));
  client.call("batch_stop");
  const auto heard = follow(client);
  EXPECT_TRUE(heard.ended);
  const auto record = record_on_disk(disk / "state", "");
  ASSERT_TRUE(record.has_value()) << proto::line(record.error());
  EXPECT_TRUE(session::rerun(*record).same);
  EXPECT_EQ(std::count_if(record->entries.begin(), record->entries.end(),
                          [&](const auto& row) { return row.text.find(text) != row.text.npos; }),
            2 * taken);  // the command, and the note that it became
  EXPECT_EQ(daemon.stop(), 0);
}

INSTANTIATE_TEST_SUITE_P(Ways, FullDisk, testing::Values("small disk", "limit on files"),
                         [](const auto& one) {
                           std::string name = one.param;
                           std::erase(name, ' ');
                           return name;
                         });

}  // namespace
}  // namespace maslin::house
