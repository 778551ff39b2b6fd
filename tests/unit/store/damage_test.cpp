// What the store refuses to open, and what check_intact finds in a record that somebody has
// altered.
#include <gmock/gmock.h>
#include <sys/resource.h>
#include <unistd.h>

#include <csignal>
#include <fstream>

#include "daemon/store/database.hpp"
#include "daemon/store/schema.hpp"
#include "kitchen.hpp"

namespace maslin::store {
namespace {

using testing::HasSubstr;

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

class Refused : public StoreTest {
 protected:
  void alter(const std::string& sql) {
    store.reset();
    auto database = Database::open(file(), Database::Mode::create);
    ASSERT_TRUE((*database)->run(sql).has_value());
    ASSERT_TRUE((*database)->checkpoint().has_value());
  }
};

TEST_F(Refused, AFileOfANewerVersionAndLeavesItAlone) {
  open();
  alter("PRAGMA user_version = 99");
  const std::string before = bytes_of(file());
  EXPECT_THAT(refusal().what, HasSubstr("newer version (99"));
  EXPECT_EQ(bytes_of(file()), before);
}

TEST_F(Refused, ADatabaseOfAnotherProgram) {
  alter("CREATE TABLE theirs (x); PRAGMA application_id = 7");
  const std::string before = bytes_of(file());
  EXPECT_THAT(refusal().what, HasSubstr("another program"));
  EXPECT_EQ(bytes_of(file()), before);
}

TEST_F(Refused, SomethingThatIsNoDatabase) {
  std::ofstream(file()) << "my shopping list, which is dear to me, " << std::string(2000, 'x');
  const std::string before = bytes_of(file());
  EXPECT_THAT(refusal().what, HasSubstr("no database"));
  EXPECT_EQ(bytes_of(file()), before);
}

TEST_F(Refused, AFileThatIsDamagedInTheMiddle) {
  open();
  Script script(begin("b"));
  write(script.note("start").readings(3000).step());
  store.reset();
  std::string bytes = bytes_of(file());
  ASSERT_GT(bytes.size(), 40'960U);
  std::fill(bytes.begin() + 8192, bytes.begin() + 36'864, '\x5a');
  std::ofstream(file(), std::ios::binary) << bytes;
  EXPECT_THAT(refusal().what, HasSubstr("damaged"));
  EXPECT_EQ(bytes_of(file()), bytes);
}

TEST_F(Refused, AStateDirectoryThatIsAFile) {
  std::filesystem::remove_all(directory);
  std::ofstream(directory) << "x";
  EXPECT_THAT(refusal().what, HasSubstr("no directory"));
}

TEST_F(Refused, AStateDirectoryThatCannotBeWritten) {
  using std::filesystem::perms;
  const perms look_only = perms::owner_read | perms::owner_exec | perms::group_read |
                          perms::group_exec | perms::others_read | perms::others_exec;
  std::filesystem::permissions(directory, look_only);
  // Root may write everywhere, so the question is asked as nobody.
  constexpr uid_t nobody = 65534;
  const uid_t user = geteuid();
  if (user == 0) {
    std::filesystem::permissions(std::filesystem::path(directory).parent_path(), perms::others_exec,
                                 std::filesystem::perm_options::add);
    ASSERT_EQ(seteuid(nobody), 0);
  }
  const auto refused = refusal();
  ASSERT_EQ(seteuid(user), 0);
  EXPECT_THAT(refused.what, HasSubstr("cannot be opened for writing"));
}

TEST_F(StoreTest, OpensWhatAKillInTheMiddleOfCreationLeft) {
  std::ofstream(file()).close();
  open();
  store.reset();
  std::filesystem::remove(file());
  {
    auto database = Database::open(file(), Database::Mode::create);
    ASSERT_TRUE((*database)->run("PRAGMA journal_mode=WAL").has_value());
  }
  open();
  EXPECT_TRUE(store->reader().batches()->empty());
}

TEST_F(StoreTest, BringsAnOlderFileUpToDateAndKeepsACopyOfIt) {
  open();
  Script script(begin("b"));
  write(script.note("start").step());
  store.reset();
  std::vector<std::string_view> steps(migrations().begin(), migrations().end());
  steps.push_back("ALTER TABLE batch ADD COLUMN pan TEXT NOT NULL DEFAULT 'wide'");
  {
    auto newer = open_current(file(), steps);
    ASSERT_TRUE(newer.has_value()) << proto::line(newer.error());
    EXPECT_EQ((*newer)->number("SELECT count(*) FROM batch WHERE pan = 'wide'"), 1);
    EXPECT_EQ((*newer)->number("PRAGMA user_version"), 2);
  }
  auto copy = Database::open(file().string() + ".v1", Database::Mode::read_only);
  ASSERT_TRUE(copy.has_value());
  EXPECT_EQ((*copy)->number("PRAGMA user_version"), 1);
}

TEST_F(StoreTest, AMigrationThatFailsChangesNothing) {
  open();
  store.reset();
  std::vector<std::string_view> steps(migrations().begin(), migrations().end());
  steps.push_back("CREATE TABLE half (x); THIS IS NO SQL");
  EXPECT_FALSE(open_current(file(), steps).has_value());
  open();
  EXPECT_TRUE(store->reader().batches().has_value());
}

// The limit of the file system's quota makes SQLite see a real full disk.
TEST_F(StoreTest, HoldsOnWhenTheFileMayNotGrow) {
  Options options;
  options.retry = std::chrono::milliseconds(5);
  open(std::move(options));
  std::vector<std::string> said;
  store->on_trouble = [&](bool failing, std::string why) {
    said.push_back(failing ? why : "works again");
  };
  const auto id = begin("b");
  Script script(id);
  write(script.note("start").step());
  rlimit before{};
  getrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit small = before;
  small.rlim_cur = 200'000;
  setrlimit(RLIMIT_FSIZE, &small);
  bool durable = false;
  ASSERT_TRUE(store->append(script.readings(20'000).step(), [&] { durable = true; }));
  EXPECT_TRUE(loop.run_until([&] { return !said.empty(); }));
  EXPECT_FALSE(durable);
  setrlimit(RLIMIT_FSIZE, &before);
  ASSERT_TRUE(loop.run_until([&] { return durable; }));
  EXPECT_EQ(said.size(), 2U);
  EXPECT_EQ(store->reader().load(id)->readings.size(), 20'000U);
}

class Altered : public StoreTest {
 protected:
  void SetUp() override {
    StoreTest::SetUp();
    open();
    id = begin("2026-11-25-1");
    Script script(id);
    write(script.note("start").readings(6000).note("two").readings(100).note("three").step());
  }
  std::string found_after(const std::string& sql) {
    store.reset();
    {
      auto database = Database::open(file(), Database::Mode::create);
      const auto done = (*database)->run(sql);
      EXPECT_TRUE(done.has_value()) << proto::line(done.error());
    }
    open();
    const auto intact = store->reader().check_intact(id);
    return intact ? "intact" : proto::line(intact.error());
  }
  std::int64_t id = 0;
};

TEST_F(Altered, NothingIsFoundWhereNothingWasAltered) {
  EXPECT_EQ(found_after("UPDATE batch SET formula = formula"), "intact");
}
TEST_F(Altered, ATextIsFound) {
  EXPECT_THAT(found_after("UPDATE entry SET text = replace(text, 'two', 'too') WHERE sequence = 2"),
              HasSubstr("entry 2"));
}
TEST_F(Altered, AColumnThatRepeatsTheTextIsFound) {
  EXPECT_THAT(found_after("UPDATE entry SET at_ms = at_ms + 1 WHERE sequence = 2"),
              HasSubstr("entry 2"));
}
TEST_F(Altered, AReadingThatStandsAsARowIsFound) {
  EXPECT_THAT(found_after("UPDATE reading SET digits = digits + 1 WHERE number = 6050"),
              HasSubstr("entry 3"));
}
TEST_F(Altered, AChunkIsFound) {
  EXPECT_THAT(found_after("UPDATE chunk SET bytes = substr(bytes, 1, length(bytes) - 1)"),
              HasSubstr("readings 1 to 6000"));
}
TEST_F(Altered, AChunkThatWasTakenAwayIsFound) {
  EXPECT_THAT(found_after("DELETE FROM chunk"), HasSubstr("readings 1 to 6000 are missing"));
}
TEST_F(Altered, AnEntryThatWasTakenOutIsFound) {
  EXPECT_THAT(found_after("DELETE FROM entry WHERE sequence = 2"), HasSubstr("entry 2 is missing"));
}
TEST_F(Altered, AnEndThatWasCutOffIsFound) {
  EXPECT_THAT(found_after("DELETE FROM entry WHERE sequence = 3"),
              HasSubstr("cut off after entry 2 of 3"));
}
TEST_F(Altered, ReadingsThatWereCutOffAreFound) {
  EXPECT_THAT(found_after("DELETE FROM reading WHERE number > 6090"),
              HasSubstr("readings are cut off after 6090"));
}

}  // namespace
}  // namespace maslin::store
