#include <gtest/gtest.h>

#include <array>
#include <string>

#include "verdict/run.h"

namespace brakeward::verdict {
namespace {

// ETSI ES 201 873-1 (TTCN-3) words; two are written out: inconc, and fail as such. VERIFIED (conformance test
// suite's readme): none, pass, inconc, fail, error.
TEST(Words, AreThoseOfTtcn3) {
  EXPECT_STREQ(word(Verdict::kNone), "none");
  EXPECT_STREQ(word(Verdict::kPass), "pass");
  EXPECT_STREQ(word(Verdict::kInconclusive), "inconclusive");
  EXPECT_STREQ(word(Verdict::kFail), "fail");
  EXPECT_STREQ(word(Verdict::kError), "error");
}

// The overwriting table of the result variable R, ISO/IEC 9646-3 (TTCN edition 2), section "Verdicts",
// VERIFIED; the same in ETSI ES 201 873-1 clause 24 (MEMORY). Rows: current; columns: new pass, inconc, fail.
TEST(Worst, FollowsTheOverwritingTable) {
  constexpr Verdict kPass = Verdict::kPass, kInconc = Verdict::kInconclusive, kFail = Verdict::kFail;
  constexpr std::array<Verdict, 3> kNew = {kPass, kInconc, kFail};
  struct Line {
    Verdict current;
    std::array<Verdict, 3> then;
  };
  constexpr std::array<Line, 4> kTable = {{
      {Verdict::kNone, {kPass, kInconc, kFail}},
      {kPass, {kPass, kInconc, kFail}},
      {kInconc, {kInconc, kInconc, kFail}},
      {kFail, {kFail, kFail, kFail}},
  }};
  for (const Line& line : kTable) {
    for (size_t i = 0; i < kNew.size(); ++i) {
      EXPECT_EQ(worst(line.current, kNew[i]), line.then[i])
          << word(line.current) << " then " << word(kNew[i]);
    }
  }
}

// error is final (MEMORY, same clause), and the worst does not depend on the order.
TEST(Worst, ErrorIsFinalAndOrderDoesNotMatter) {
  for (int a = 0; a <= 4; ++a) {
    const auto va = static_cast<Verdict>(a);
    EXPECT_EQ(worst(va, Verdict::kError), Verdict::kError);
    EXPECT_EQ(worst(va, va), va);
    EXPECT_EQ(worst(Verdict::kNone, va), va);
    for (int b = 0; b <= 4; ++b) {
      const auto vb = static_cast<Verdict>(b);
      EXPECT_EQ(worst(va, vb), worst(vb, va));
    }
  }
}

TEST(Words, OfTheMachineryShareNoneWithTheVerdicts) {
  for (int s = 0; s <= 4; ++s) {
    for (int v = 0; v <= 4; ++v) {
      EXPECT_STRNE(word(static_cast<RunState>(s)), word(static_cast<Verdict>(v)));
    }
  }
  EXPECT_STREQ(word(RunState::kCompleted), "completed");
}

TEST(Caution, SaysWhatAPassIsNot) {
  EXPECT_NE(std::string(caution()).find("no release for road or track"), std::string::npos);
  EXPECT_NE(std::string(caution()).find("a qualified person signs off"), std::string::npos);
}

}  // namespace
}  // namespace brakeward::verdict
