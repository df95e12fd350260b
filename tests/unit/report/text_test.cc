#include "report/text.h"

#include <gtest/gtest.h>

#include <random>

namespace brakeward::report {
namespace {

const std::string kMark = "\xef\xbf\xbd";

TEST(Clean, KeepsWhatPrints) {
  EXPECT_EQ(clean("wet stop, \xc2\xb5 0.3, \xe2\x89\xa4 40 m, \xf0\x9f\x9b\x91"),
            "wet stop, \xc2\xb5 0.3, \xe2\x89\xa4 40 m, \xf0\x9f\x9b\x91");
}

TEST(Clean, ReplacesControlsAndBlanksLineBreaks) {
  EXPECT_EQ(clean(std::string("a\0b", 3)), "a" + kMark + "b");
  EXPECT_EQ(clean("\x1b[31mred\x7f"), kMark + "[31mred" + kMark);
  EXPECT_EQ(clean("\xc2\x9b 31m"), kMark + " 31m") << "C1 control, a one-character escape";
  EXPECT_EQ(clean("a\nb\tc\rd"), "a b c d");
  EXPECT_EQ(clean("a\nb\tc\rd\x01", true), "a\nb\tc\rd" + kMark);
}

// Ill-formed sequences of Unicode 15, table 3-7 (well-formed UTF-8 byte sequences; MEMORY).
TEST(Clean, ReplacesIllFormedUtf8) {
  EXPECT_EQ(clean("\xff"), kMark);
  EXPECT_EQ(clean("\xc0\x80"), kMark + kMark) << "overlong in two";
  EXPECT_EQ(clean("\xe0\x9f\xbf"), kMark + kMark + kMark) << "overlong in three";
  EXPECT_EQ(clean("\xf0\x8f\xbf\xbf"), kMark + kMark + kMark + kMark) << "overlong in four";
  EXPECT_EQ(clean("\xed\xa0\x80"), kMark + kMark + kMark) << "surrogate";
  EXPECT_EQ(clean("\xf4\x90\x80\x80"), kMark + kMark + kMark + kMark) << "beyond U+10FFFF";
  EXPECT_EQ(clean("a\xe2\x82"), "a" + kMark + kMark) << "cut short";
  EXPECT_EQ(clean("\x80x"), kMark + "x") << "stray continuation";
  EXPECT_EQ(clean("\xef\xbf\xbe\xef\xbf\xbf"), kMark + kMark) << "not characters";
}

// The bidirectional formatting characters of Unicode UAX 9, table 1 (MEMORY).
TEST(Clean, ReplacesWhatTurnsTheReadingOrder) {
  for (const char* control : {"\xd8\x9c", "\xe2\x80\x8e", "\xe2\x80\x8f", "\xe2\x80\xaa", "\xe2\x80\xae",
                              "\xe2\x81\xa6", "\xe2\x81\xa9", "\xe2\x80\xa8", "\xe2\x80\xa9"}) {
    EXPECT_EQ(clean(std::string("a") + control + "b"), "a" + kMark + "b");
  }
  EXPECT_EQ(clean("\xe2\x80\xa7\xe2\x80\xaf\xe2\x81\xa0"), "\xe2\x80\xa7\xe2\x80\xaf\xe2\x81\xa0");
}

TEST(Clean, TwiceIsOnce) {
  std::mt19937_64 bits{5};
  for (int i = 0; i < 2000; ++i) {
    std::string text;
    for (int k = 0; k < 24; ++k)
      text.push_back(static_cast<char>(bits() % 3 == 0 ? bits() % 128 : bits() % 256));
    ASSERT_EQ(clean(clean(text)), clean(text));
    ASSERT_EQ(clean(clean(text, true), true), clean(text, true));
  }
}

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
