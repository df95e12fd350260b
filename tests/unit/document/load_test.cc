#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

#include "brakeward/v1/calibration.pb.h"
#include "files.h"
#include "temporary_folder.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class Load : public testing::Test {
 protected:
  fs::path write(const std::string& name, const std::string& text) {
    tests::write_file(folder_ / name, text);
    return folder_ / name;
  }

  // The one fault of a path that is no document.
  std::string only_fault(const fs::path& path) {
    v1::Calibration calibration;
    const Faults faults = load(path, &calibration);
    EXPECT_EQ(faults.list.size(), 1u) << faults.render();
    if (faults.empty()) return "";
    EXPECT_EQ(faults.list[0].file, path.string());
    return faults.list[0].text;
  }

  const tests::TemporaryFolder home_;
  const fs::path folder_ = home_.path();
};

TEST_F(Load, ReadsTextAndJson) {
  v1::Calibration text;
  v1::Calibration json;
  EXPECT_EQ(load(write("c.textproto", kCalibration), &text).render(), "");
  EXPECT_EQ(load(write("c.json", *to_json(text)), &json).render(), "");
  EXPECT_EQ(*content_sha256(text), *content_sha256(json));
}

TEST_F(Load, RefusesWhatIsNoFile) {
  EXPECT_THAT(only_fault(folder_ / "absent.textproto"), HasSubstr("there is no such file"));
  EXPECT_THAT(only_fault(folder_), HasSubstr("is a directory"));
  EXPECT_THAT(only_fault("/dev/null"), HasSubstr("is not a regular file"));
  EXPECT_THAT(only_fault(write("empty.textproto", "")), HasSubstr("the document is empty"));
  ASSERT_EQ(mkfifo((folder_ / "pipe").c_str(), 0600), 0);
  EXPECT_THAT(only_fault(folder_ / "pipe"), HasSubstr("is not a regular file"));
  EXPECT_THAT(only_fault(write("name.textproto", "x") / "below"), HasSubstr("check the path"));
}

TEST_F(Load, RefusesTooMuch) {
  const fs::path path = write("large.textproto", "");
  fs::resize_file(path, kLargestDocument + 1);
  EXPECT_THAT(only_fault(path), HasSubstr("holds 8388609 bytes; a document may hold 8388608"));
  fs::resize_file(path, std::uintmax_t{1} << 40);
  EXPECT_THAT(only_fault(path), HasSubstr("8 MiB"));
}

// Root may read everything, so the test steps down to another user for the reading.
TEST_F(Load, RefusesWhatItMayNotRead) {
  constexpr uid_t kNobody = 65534;
  const uid_t self = geteuid();
  const fs::path path = write("secret.textproto", kCalibration);
  fs::permissions(path, fs::perms::none);
  fs::permissions(folder_, fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec);
  if (self == 0) {
    ASSERT_EQ(seteuid(kNobody), 0);
  }
  const std::string text = only_fault(path);
  if (self == 0) {
    ASSERT_EQ(seteuid(self), 0);
  }
  EXPECT_THAT(text, HasSubstr("Permission denied; check"));
}

TEST_F(Load, FollowsLinks) {
  write("c.textproto", kCalibration);
  fs::create_symlink("c.textproto", folder_ / "link.textproto");
  fs::create_symlink("loop", folder_ / "loop");
  v1::Calibration calibration;
  EXPECT_EQ(load(folder_ / "link.textproto", &calibration).render(), "");
  EXPECT_THAT(only_fault(folder_ / "loop"), HasSubstr("check the path"));
}

}  // namespace
}  // namespace brakeward::document
