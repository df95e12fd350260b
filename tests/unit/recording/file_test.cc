#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

#include "files.h"
#include "logs.h"
#include "temporary_folder.h"

namespace brakeward::recording {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

class File : public ::testing::Test {
 protected:
  const tests::TemporaryFolder home_;
  const std::filesystem::path folder_ = home_.path();
};

std::string message(const absl::StatusOr<Log>& log) {
  return std::string(log.status().message());
}

TEST_F(File, IsRead) {
  const std::filesystem::path file = folder_ / "stop.csv";
  tests::write_file(file, "time,v,p\n0,36,1\n0.1,72,2\n");
  const absl::StatusOr<Log> log = read_csv(file, small_map());
  ASSERT_TRUE(log.ok()) << log.status();
  EXPECT_EQ(log->file, file.string());
  EXPECT_THAT((*log)[Signal::kSpeed], ElementsAre(10, 20));
}

TEST_F(File, FaultsNameIt) {
  const std::filesystem::path file = folder_ / "stop.csv";
  tests::write_file(file, "time,v,p\n0,36,x\n0.1,72,2\n");
  EXPECT_EQ(message(read_csv(file, small_map())),
            file.string() + ": line 2, column 'p' (3): 'x' is not a number");
}

TEST_F(File, Missing) {
  const absl::StatusOr<Log> log = read_csv(folder_ / "none.csv", small_map());
  EXPECT_EQ(log.status().code(), absl::StatusCode::kNotFound);
  EXPECT_EQ(message(log), (folder_ / "none.csv").string() + ": there is no such file");
}

TEST_F(File, Folder) {
  const absl::StatusOr<Log> log = read_csv(folder_, small_map());
  EXPECT_EQ(log.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(message(log), folder_.string() + ": is a folder, not a CSV file");
}

TEST_F(File, PipeIsNotWaitedFor) {
  const std::filesystem::path pipe = folder_ / "pipe";
  ASSERT_EQ(mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_THAT(message(read_csv(pipe, small_map())), HasSubstr("is not a regular file"));
}

TEST_F(File, Empty) {
  const std::filesystem::path file = folder_ / "empty.csv";
  tests::write_file(file, "");
  EXPECT_THAT(message(read_csv(file, small_map())), HasSubstr("is empty"));
}

TEST_F(File, LargerThanTheLimitIsRefusedUnread) {
  const std::filesystem::path file = folder_ / "large.csv";
  tests::write_file(file, "");
  std::filesystem::resize_file(file, kLargestFileBytes + 1);  // a hole: takes no room on disk
  EXPECT_EQ(
      message(read_csv(file, small_map())),
      file.string() + ": holds 1073741825 bytes, more than 1073741824 (1 GiB): cut it into shorter logs");
}

}  // namespace
}  // namespace brakeward::recording
