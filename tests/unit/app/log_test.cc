// One plain line an event, whatever the text holds.
#include "app/log.h"

#include <gtest/gtest.h>

namespace brakeward::app {
namespace {

TEST(LogText, IsTimeLevelSubjectText) {
  // 951782400 s is 2000-02-29T00:00:00Z, as `date -u -d @951782400` of GNU coreutils says.
  EXPECT_EQ(log_text(951782400001, Level::kInfo, "store", "started in 3 ms"),
            "2000-02-29T00:00:00.001Z info store: started in 3 ms\n");
  EXPECT_EQ(log_text(0, Level::kWarning, "a", "b"), "1970-01-01T00:00:00.000Z warning a: b\n");
  EXPECT_EQ(log_text(0, Level::kError, "a", "b"), "1970-01-01T00:00:00.000Z error a: b\n");
}

TEST(LogText, MakesEachLineALine) {
  EXPECT_EQ(log_text(0, Level::kError, "library x", "one\n\ntwo\n"),
            "1970-01-01T00:00:00.000Z error library x: one\n1970-01-01T00:00:00.000Z error library x: two\n");
  EXPECT_EQ(log_text(0, Level::kError, "x", ""), "");
}

TEST(LogText, LetsNoTextLookLikeAnotherLineOrColourTheTerminal) {
  EXPECT_EQ(log_text(0, Level::kInfo, "a\nb", "\x1b[31mred\rover\x7f\xff"),
            "1970-01-01T00:00:00.000Z info a b: \xef\xbf\xbd[31mred over\xef\xbf\xbd\xef\xbf\xbd\n");
}

TEST(Say, WritesToStandardError) {
  testing::internal::CaptureStderr();
  say("store", absl::UnavailableError("locked\nby another"));
  const std::string said = testing::internal::GetCapturedStderr();
  EXPECT_NE(said.find(" error store: locked\n"), std::string::npos) << said;
  EXPECT_NE(said.find(" error store: by another\n"), std::string::npos) << said;
}

}  // namespace
}  // namespace brakeward::app
