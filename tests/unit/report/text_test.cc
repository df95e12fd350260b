#include "report/text.h"

#include <gtest/gtest.h>

namespace brakeward::report {
namespace {

TEST(Width, CountsCodePoints) {
  EXPECT_EQ(width_of(""), 0u);
  EXPECT_EQ(width_of("abc"), 3u);
  EXPECT_EQ(width_of("\xc2\xb5\xe2\x89\xa4\xf0\x9f\x9b\x91"), 3u);
}

TEST(Wrap, BreaksAtBlanksAndLosesNoWord) {
  EXPECT_EQ(wrap("one two three", 7), (std::vector<std::string>{"one two", "three"}));
  EXPECT_EQ(wrap("one two three", 6), (std::vector<std::string>{"one", "two", "three"}));
  EXPECT_EQ(wrap("unbreakable is long", 4), (std::vector<std::string>{"unbreakable", "is", "long"}));
  EXPECT_EQ(wrap("  two   blanks ", 80), (std::vector<std::string>{"two blanks"}));
  EXPECT_TRUE(wrap("", 10).empty());
}

}  // namespace
}  // namespace brakeward::report
