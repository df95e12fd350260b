#include "document/text.h"

#include <gtest/gtest.h>

#include <random>

namespace brakeward::document {
namespace {

const std::string kMark = "\xef\xbf\xbd";

// Unicode 15.0, table 3-7 (well-formed UTF-8 byte sequences), from memory; RFC 3629 section 4 says the same.
TEST(Utf8, IsToldFromWhatIsNot) {
  size_t at = 0;
  for (const char* good : {"plain", "\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xEE\x80\x80",
                           "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"}) {
    EXPECT_TRUE(is_utf8(good, &at)) << good;
  }
  for (const char* bad :
       {"ab\x80", "ab\xC0\x80", "ab\xC1\xBF", "ab\xE0\x9F\xBF", "ab\xED\xA0\x80", "ab\xF0\x8F\xBF\xBF",
        "ab\xF4\x90\x80\x80", "ab\xF5\x80\x80\x80", "ab\xFF", "ab\xC2", "ab\xE2\x82"}) {
    EXPECT_FALSE(is_utf8(bad, &at)) << bad;
    EXPECT_EQ(at, 2u);
  }
}

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

// The bidirectional formatting characters of Unicode UAX 9, table 1 (from memory).
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

TEST(Clean, KeepsEveryWellFormedSequenceAndNoOther) {
  for (uint32_t bytes = 0; bytes < 0x10000; ++bytes) {
    const std::string two = {static_cast<char>(bytes >> 8), static_cast<char>(bytes & 0xff)};
    size_t bad_at = 0;
    ASSERT_TRUE(is_utf8(clean(two), &bad_at)) << bytes;
    ASSERT_TRUE(is_utf8(two, &bad_at) || clean(two) != two) << bytes;
  }
}

}  // namespace
}  // namespace brakeward::document
