// Which files are opened, and what is said of those that are not.
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "files.h"
#include "store/concat.h"
#include "unit/store/child.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

namespace fs = std::filesystem;
using absl::StatusCode;

class Open : public testing::Test {
 protected:
  absl::Status open(Access access = Access::kReadWrite) { return open_sqlite_store(file_, access).status(); }
  void expect_refused_either_way(StatusCode code, const std::string& part) {
    EXPECT_THAT(open(Access::kReadWrite), Fails(code, part));
    EXPECT_THAT(open(Access::kReadOnly), Fails(code, part));
    EXPECT_THAT(open(Access::kReadOnly), Fails(code, file_.string()));
  }

  TemporaryFolder folder_;
  fs::path file_ = folder_.file("history.db");
};

TEST_F(Open, ANewFileIsMarkedAsAStore) {
  { ASSERT_NE(open_or_fail(file_), nullptr); }
  EXPECT_EQ(look_up(file_, "PRAGMA application_id"), concat(0x42775374));
  EXPECT_EQ(look_up(file_, "PRAGMA user_version"), "1");
  EXPECT_EQ(look_up(file_, "PRAGMA journal_mode"), "wal");
  // https://www.sqlite.org/fileformat.html section 1.3 (MEMORY): magic at 0, application id big-endian at 68.
  const std::string content = tests::read_file(file_);
  EXPECT_EQ(content.substr(0, 16), std::string("SQLite format 3\0", 16));
  EXPECT_EQ(content.substr(68, 4), "BwSt");
  EXPECT_FALSE(fs::exists(file_.string() + "-wal"));
}

TEST_F(Open, AnEmptyFileBecomesAStore) {
  tests::write_file(file_, "");
  EXPECT_THAT(open(Access::kReadOnly),
              Fails(StatusCode::kFailedPrecondition, "nothing has been stored in it yet"));
  EXPECT_THAT(open(), Succeeds());
  EXPECT_THAT(open(Access::kReadOnly), Succeeds());
}

TEST_F(Open, WhatIsNotThere) {
  EXPECT_THAT(open(Access::kReadOnly), Fails(StatusCode::kNotFound, "there is no such file"));
  EXPECT_FALSE(fs::exists(file_));
  EXPECT_THAT(open_sqlite_store("", Access::kReadWrite), Fails(StatusCode::kInvalidArgument, "path"));
  file_ = folder_.path() / "none" / "history.db";
  EXPECT_THAT(open(), Fails(StatusCode::kNotFound, "/none; make it first"));
  tests::write_file(folder_.file("plain"), "x");
  file_ = folder_.path() / "plain" / "history.db";
  EXPECT_THAT(open(), Fails(StatusCode::kNotFound, "/plain; make it first"));
}

TEST_F(Open, WhatIsNoFile) {
  file_ = folder_.path();
  expect_refused_either_way(StatusCode::kFailedPrecondition, "is a folder; name a file");
  file_ = folder_.path() / "pipe";
  ASSERT_EQ(::mkfifo(file_.c_str(), 0600), 0);
  expect_refused_either_way(StatusCode::kFailedPrecondition, "is no ordinary file; name a file");
}

// Names that mean something of their own to SQLite are names of files here.
TEST_F(Open, NamesAreJustNames) {
  for (const char* name : {":memory:", "file:x?mode=memory", "a b'c%20#.db", "\xc3\xbc.db"}) {
    file_ = folder_.path() / name;
    ASSERT_THAT(open(), Succeeds());
    EXPECT_TRUE(fs::is_regular_file(file_)) << name;
  }
  const fs::path before = fs::current_path();
  fs::current_path(folder_.path());
  file_ = ":memory:";
  EXPECT_THAT(open(Access::kReadOnly), Succeeds());
  fs::current_path(before);
}

TEST_F(Open, ThroughASymbolicLink) {
  fs::create_directory(folder_.path() / "real");
  fs::create_symlink("real/there.db", folder_.path() / "link.db");
  file_ = folder_.path() / "link.db";
  ASSERT_THAT(open(), Succeeds());
  EXPECT_TRUE(fs::exists(folder_.path() / "real" / "there.db"));
  EXPECT_THAT(open(Access::kReadOnly), Succeeds());
}

TEST_F(Open, TheFileOfAnotherProgramIsLeftAlone) {
  edit(file_, "CREATE TABLE address (name TEXT); INSERT INTO address VALUES ('x')");
  const std::string before = tests::read_file(file_);
  expect_refused_either_way(StatusCode::kFailedPrecondition, "is the file of another program");
  edit(folder_.path() / "b.db", "PRAGMA application_id = 7");
  file_ = folder_.path() / "b.db";
  expect_refused_either_way(StatusCode::kFailedPrecondition, "application id 0x00000007, not 0x42775374");
  file_ = folder_.file("history.db");
  EXPECT_EQ(tests::read_file(file_), before);
}

TEST_F(Open, AnotherVersionIsLeftAlone) {
  ASSERT_THAT(open(), Succeeds());
  for (const char* version : {"2", "0", "-1"}) {
    edit(file_, concat("PRAGMA user_version = ", version));
    const std::string before = tests::read_file(file_);
    expect_refused_either_way(
        StatusCode::kFailedPrecondition,
        concat("is a store of version ", version, ", this program knows version 1; use the"));
    EXPECT_EQ(tests::read_file(file_), before);
  }
}

TEST_F(Open, WhatIsNoSqliteFile) {
  tests::write_file(file_, sample_bytes(5, 10'000));
  const std::string before = tests::read_file(file_);
  expect_refused_either_way(StatusCode::kFailedPrecondition, "is no SQLite file");
  EXPECT_EQ(tests::read_file(file_), before);
}

TEST_F(Open, AStoreWithoutAllTablesIsDamaged) {
  ASSERT_THAT(open(), Succeeds());
  edit(file_, "DROP INDEX run_by_library");
  expect_refused_either_way(StatusCode::kDataLoss, "CREATE INDEX run_by_library ON run");
}

// As a user who may do less than root.
class Rights : public Open {
 protected:
  std::string try_as_nobody(Access access) {
    return in_child([&]() -> std::string {
      if (!drop_rights()) return "cannot drop rights";
      const absl::StatusOr<std::unique_ptr<Store>> store = open_sqlite_store(file_, access);
      if (!store.ok()) return store.status().ToString();
      const absl::StatusOr<RunRow> run = (*store)->get_run("run-1");
      return run.ok() ? "read" : run.status().ToString();
    });
  }
  void SetUp() override {
    {
      const std::unique_ptr<Store> store = open_or_fail(file_);
      ASSERT_THAT(store->put_run(sample_run(1)), Succeeds());
    }
    mode(file_, 0644);
    mode(folder_.path(), 0755);
  }
  void TearDown() override { mode(folder_.path(), 0755); }
  // Without root's rights the user is the owner, so all three get the same.
  void mode(const fs::path& path, mode_t bits) {
    if (::geteuid() != 0) bits = (bits & 7) | (bits & 7) << 3 | (bits & 7) << 6;
    ASSERT_EQ(::chmod(path.c_str(), bits), 0);
  }
};

TEST_F(Rights, AFileThatMayNotBeRead) {
  mode(file_, 0600);
  for (Access access : {Access::kReadWrite, Access::kReadOnly}) {
    EXPECT_THAT(try_as_nobody(access),
                testing::StartsWith(concat("PERMISSION_DENIED: ", file_.string(), ": may not be")));
  }
}

TEST_F(Rights, AFileThatMayNotBeWritten) {
  mode(folder_.path(), 0777);
  mode(file_, 0644);
  EXPECT_THAT(try_as_nobody(Access::kReadWrite),
              testing::HasSubstr("may not be read and written (Permission denied)"));
  EXPECT_EQ(try_as_nobody(Access::kReadOnly), "read");
}

TEST_F(Rights, AFolderThatMayNotBeWritten) {
  mode(file_, 0666);
  EXPECT_THAT(try_as_nobody(Access::kReadWrite), testing::HasSubstr("nothing may be made in its folder"));
  EXPECT_THAT(try_as_nobody(Access::kReadOnly),
              testing::AllOf(testing::StartsWith("FAILED_PRECONDITION: " + file_.string()),
                             testing::HasSubstr("copy it")));
  file_ = folder_.path() / "new.db";
  EXPECT_THAT(try_as_nobody(Access::kReadWrite), testing::HasSubstr("nothing may be made in the folder"));
}

// The common case: a service has it open, and someone without write permission looks into it.
TEST_F(Rights, ReadingBesideAServiceNeedsNoWritePermission) {
  Child service = start_child([&](int output) {
    const absl::StatusOr<std::unique_ptr<Store>> store = open_sqlite_store(file_, Access::kReadWrite);
    const bool good = store.ok() && (*store)->put_run(sample_run(2)).ok();
    if (::write(output, good ? "y" : "n", 1) == 1) ::pause();
  });
  char answer = 0;
  ASSERT_EQ(::read(service.output, &answer, 1), 1);
  EXPECT_EQ(answer, 'y');
  EXPECT_EQ(try_as_nobody(Access::kReadOnly), "read");
  ::kill(service.id, SIGKILL);
  ::waitpid(service.id, nullptr, 0);
  ::close(service.output);
}

}  // namespace
}  // namespace brakeward::store
