#include "report/atomic_file.h"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <filesystem>
#include <thread>

#include "files.h"
#include "temporary_folder.h"

namespace brakeward::report {
namespace {

namespace fs = std::filesystem;

class AtomicFile : public testing::Test {
 protected:
  // Names in the folder, sorted; shows what was left behind.
  std::vector<std::string> names() const {
    std::vector<std::string> found;
    for (const auto& entry : fs::directory_iterator(folder_)) found.push_back(entry.path().filename());
    std::sort(found.begin(), found.end());
    return found;
  }

  const tests::TemporaryFolder home_;
  const fs::path folder_ = home_.path();
};

TEST_F(AtomicFile, WritesAndReplacesWholeFiles) {
  const fs::path path = folder_ / "run.json";
  ASSERT_TRUE(write_file_atomically(path, std::string("a\0b", 3)).ok());
  EXPECT_EQ(tests::read_file(path), std::string("a\0b", 3));
  ASSERT_TRUE(write_file_atomically(path, "").ok());
  EXPECT_EQ(tests::read_file(path), "");
  const std::string large(3 << 20, 'x');
  ASSERT_TRUE(write_file_atomically(path, large).ok());
  EXPECT_EQ(tests::read_file(path), large);
  EXPECT_EQ(names(), std::vector<std::string>{"run.json"});
}

TEST_F(AtomicFile, ANewFileObeysTheMaskAndAnOldOneKeepsItsMode) {
  const fs::path path = folder_ / "run.json";
  const mode_t mask = ::umask(027);
  EXPECT_TRUE(write_file_atomically(path, "new").ok());
  ::umask(mask);
  struct stat there;
  ASSERT_EQ(::stat(path.c_str(), &there), 0);
  EXPECT_EQ(there.st_mode & 07777, 0640u);
  ASSERT_EQ(::chmod(path.c_str(), 0604), 0);
  ASSERT_TRUE(write_file_atomically(path, "newer").ok());
  ASSERT_EQ(::stat(path.c_str(), &there), 0);
  EXPECT_EQ(there.st_mode & 07777, 0604u);
}

TEST_F(AtomicFile, FollowsASymbolicLink) {
  fs::create_directory(folder_ / "real");
  tests::write_file(folder_ / "real" / "run.json", "old");
  fs::create_symlink("real/run.json", folder_ / "latest.json");
  ASSERT_TRUE(write_file_atomically(folder_ / "latest.json", "new").ok());
  EXPECT_TRUE(fs::is_symlink(folder_ / "latest.json"));
  EXPECT_EQ(tests::read_file(folder_ / "real" / "run.json"), "new");
}

TEST_F(AtomicFile, LeavesAPipeAPipe) {
  const fs::path path = folder_ / "pipe";
  ASSERT_EQ(::mkfifo(path.c_str(), 0600), 0);
  std::string received;
  std::thread reader([&] { received = tests::read_file(path); });
  EXPECT_TRUE(write_file_atomically(path, "through the pipe").ok());
  reader.join();
  EXPECT_EQ(received, "through the pipe");
  EXPECT_TRUE(fs::is_fifo(path));
}

TEST_F(AtomicFile, ErrorsNamePathCauseAndRemedyAndLeaveNothing) {
  const fs::path missing = folder_ / "no" / "run.json";
  const absl::Status no_folder = write_file_atomically(missing, "x");
  EXPECT_EQ(no_folder.code(), absl::StatusCode::kNotFound);
  const std::string message(no_folder.message());
  EXPECT_EQ(
      message.find(missing.string() + ": cannot be written; create the folder first or choose another path"),
      0u)
      << message;
  EXPECT_NE(message.find("No such file or directory"), std::string::npos) << message;

  const absl::Status folder = write_file_atomically(folder_, "x");
  EXPECT_NE(std::string(folder.message()).find("is a folder; name a file, not a folder"), std::string::npos);
  tests::write_file(folder_ / "file", "kept");
  const absl::Status below = write_file_atomically(folder_ / "file" / "run.json", "x");
  EXPECT_NE(std::string(below.message()).find("create the folder first"), std::string::npos);
  EXPECT_EQ(write_file_atomically("", "x").code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(names(), std::vector<std::string>{"file"});
  EXPECT_EQ(tests::read_file(folder_ / "file"), "kept");
}

// The device that is always full: a write that fails half-way through says so.
TEST_F(AtomicFile, AFullDeviceIsReported) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full on this machine";
  const absl::Status full = write_file_atomically("/dev/full", "x");
  EXPECT_NE(std::string(full.message()).find("/dev/full: cannot be written; free space"), std::string::npos)
      << full.message();
}

// A file that hits the process's size limit half-way: the old content stays, the half is taken away.
TEST_F(AtomicFile, AWriteBrokenOffLeavesTheOldContent) {
  const fs::path path = folder_ / "run.json";
  ASSERT_TRUE(write_file_atomically(path, "old").ok());
  rlimit before;
  ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  const rlimit small{1000, before.rlim_max};
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
  const absl::Status broken_off = write_file_atomically(path, std::string(5000, 'x'));
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &before), 0);
  std::signal(SIGXFSZ, handler);
  EXPECT_NE(std::string(broken_off.message()).find("run.json: cannot be written"), std::string::npos);
  EXPECT_EQ(tests::read_file(path), "old");
  EXPECT_EQ(names(), std::vector<std::string>{"run.json"});
}

TEST_F(AtomicFile, AFolderThatMayNotBeWrittenIsReported) {
  if (::geteuid() == 0) GTEST_SKIP() << "root may write anywhere";
  fs::permissions(folder_, fs::perms::owner_read | fs::perms::owner_exec);
  const absl::Status denied = write_file_atomically(folder_ / "run.json", "x");
  fs::permissions(folder_, fs::perms::owner_all);
  EXPECT_NE(std::string(denied.message()).find("choose a folder you may write to"), std::string::npos);
}

// A reader beside two writers sees one content or the other, whole.
TEST_F(AtomicFile, AReaderNeverSeesHalf) {
  const fs::path path = folder_ / "run.json";
  const std::string a(200000, 'a'), b(200000, 'b');
  ASSERT_TRUE(write_file_atomically(path, a).ok());
  std::atomic<bool> done = false;
  std::atomic<int> failures = 0;
  const auto write = [&](const std::string& content) {
    for (int i = 0; i < 30; ++i) failures += !write_file_atomically(path, content).ok();
  };
  std::thread first(write, std::cref(a)), second([&] {
    write(b);
    done = true;
  });
  int halves = 0;
  do {
    const std::string seen = tests::read_file(path);
    halves += seen != a && seen != b;
  } while (!done);
  first.join();
  second.join();
  EXPECT_EQ(halves, 0);
  EXPECT_EQ(failures, 0);
  EXPECT_EQ(names(), std::vector<std::string>{"run.json"});
}

}  // namespace
}  // namespace brakeward::report
