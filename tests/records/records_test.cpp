// Stored batches of every version: they open, they are intact, and the engine still decides the
// same.
#include <gmock/gmock.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>

#include "daemon/batch/engine.hpp"
#include "daemon/review/review.hpp"
#include "daemon/session/rerun.hpp"
#include "daemon/store/store.hpp"
#include "proto/json.hpp"

namespace maslin {
namespace {

namespace fs = std::filesystem;

// A copy of the file in a state directory of its own: opening may migrate it.
class StoredFile {
 public:
  explicit StoredFile(const fs::path& file) {
    std::string name = (fs::temp_directory_path() / "maslin-records-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) return;
    directory_ = name;
    fs::copy_file(file, directory_ / store::kFileName);
    auto opened = store::Store::open(directory_, [](std::function<void()>) {});
    if (!opened) {
      why_ = proto::line(opened.error());
      return;
    }
    store_ = std::move(*opened);
  }
  ~StoredFile() {
    store_.reset();
    std::error_code ignored;
    fs::remove_all(directory_, ignored);
  }
  StoredFile(const StoredFile&) = delete;
  StoredFile& operator=(const StoredFile&) = delete;

  store::Reader* reader() { return store_ ? &store_->reader() : nullptr; }
  const std::string& why() const { return why_; }

 private:
  fs::path directory_;
  std::unique_ptr<store::Store> store_;
  std::string why_;
};

fs::path records() { return fs::path(MASLIN_SOURCE_DIR) / "tests/records"; }

class Records : public testing::TestWithParam<std::string> {
 protected:
  void SetUp() override {
    ASSERT_NE(stored.reader(), nullptr) << stored.why();
    const auto found = stored.reader()->batches();
    ASSERT_TRUE(found.has_value()) << proto::line(found.error());
    batches = *found;
    ASSERT_FALSE(batches.empty());
  }
  StoredFile stored{records() / GetParam()};
  std::vector<store::BatchRow> batches;
};

TEST_P(Records, AreIntact) {
  for (const auto& batch : batches) {
    const auto intact = stored.reader()->check_intact(batch.id);
    EXPECT_TRUE(intact.has_value()) << batch.name << ": " << proto::line(intact.error());
  }
}

TEST_P(Records, FoldToTheSameDecisionsOrTheEngineHasANewRevision) {
  for (const auto& batch : batches) {
    const auto record = stored.reader()->load(batch.id);
    ASSERT_TRUE(record.has_value()) << proto::line(record.error());
    const auto again = session::rerun(*record);
    if (again.recorded_revision == batch::engine_revision) {
      EXPECT_TRUE(again.same) << batch.name << ": " << again.first_difference;
    }
    const auto verified = session::verified(*record, again);
    EXPECT_THAT(verified.exit_code, testing::AnyOf(0, 5)) << verified.detail;
  }
}

TEST_P(Records, StillGiveTheirReport) {
  for (const auto& batch : batches) {
    const auto record = stored.reader()->load(batch.id);
    ASSERT_TRUE(record.has_value());
    std::vector<proto::Entry> entries;
    for (const auto& row : record->entries) {
      const auto entry = proto::read_entry(row.text);
      ASSERT_TRUE(entry.has_value()) << row.text;
      entries.push_back(*entry);
    }
    const auto report = review::report(entries, record->readings, record->row.last_hash);
    EXPECT_EQ(report.state, "complete");
    EXPECT_EQ(report.batch, batch.name);
    EXPECT_FALSE(report.ingredients.empty());
    EXPECT_EQ(report.holds.size(), 1U);
    EXPECT_FALSE(report.temperatures.empty());
  }
}

std::vector<std::string> stored_files() {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(records())) {
    if (entry.path().extension() == ".db") names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

INSTANTIATE_TEST_SUITE_P(OfEveryVersion, Records, testing::ValuesIn(stored_files()),
                         [](const auto& file) {
                           std::string name = fs::path(file.param).stem().string();
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

}  // namespace
}  // namespace maslin
