// Does a check catch a change worth knowing, and let pass one that is not? Every number of the released
// calibration of Sorrel is moved up and down, once by the effect size that mutation.cc states for its field
// and once by a twentieth of it; every moved calibration goes through the whole check. Caught is a verdict of
// fail.
//
// Not every change can be caught: one for the better passes by right where only one way is worse, a small one
// is within the tolerances, and a field that no scenario uses cannot show. Each miss is printed with which of
// these it is (miss.h). A fixed sample of 20 and 20 runs always; with BRAKEWARD_FULL=1 all of them do.
#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <map>
#include <vector>

#include "document/document.h"
#include "gate/session.h"
#include "power/interval.h"
#include "power/miss.h"
#include "power/mutation.h"

namespace brakeward::power {
namespace {

constexpr double kHarmless = 0.05;  // of the effect size
constexpr size_t kSample = 20;
// Where so few are caught that even the upper bound lies below, the library has lost what it had.
constexpr double kLeastCaught = 0.30;
constexpr double kMostAlarms = 0.05;

struct Counts {
  int runs = 0, failed = 0, inconclusive = 0, refused = 0;
  std::map<std::string, std::vector<std::string>> missed;  // by address: which ways did not fail, and why
  std::map<std::string, std::vector<std::string>> alarms;  // and which did
  std::map<Miss, int> misses;
};

class Power : public testing::Test {
 protected:
  void SetUp() override {
    const std::string library = std::string(BRAKEWARD_SOURCE_DIR) + "/scenarios/sorrel";
    gate::Options options;
    options.library = library;
    options.calibration = library + "/calibrations/released.textproto";
    auto opened = gate::open_session(options);
    ASSERT_TRUE(opened.ok()) << opened.status();
    session_ = *std::move(opened);
  }

  verdict::Run check(const v1::Calibration& calibration) {
    gate::Given given;
    given.candidate = {"mutated", calibration, document::content_sha256(calibration).value_or("")};
    document::Faults faults;
    const auto session = gate::open_session(session_.library, std::move(given), faults);
    EXPECT_TRUE(faults.empty()) << faults.render();
    const auto run = gate::check(*session, gate::CheckOptions());
    EXPECT_TRUE(run.ok()) << run.status();
    return run.value_or(verdict::Run());
  }

  Counts count(double share) {
    std::vector<Mutation> all = mutations_of(session_.candidate.message, share);
    const bool full = std::getenv("BRAKEWARD_FULL") != nullptr;
    const size_t every = full ? 1 : std::max<size_t>(1, all.size() / kSample);
    Counts c;
    for (size_t i = 0; i < all.size() && (full || static_cast<size_t>(c.runs) < kSample); i += every) {
      // An odd stride would meet one way only of every field it meets.
      const Mutation& m = all[full ? i : (i + i / every % 2) % all.size()];
      if (!m.refused.empty()) {
        ++c.refused;
        continue;
      }
      ++c.runs;
      const verdict::Run run = check(m.calibration);
      const std::string way = document::format_number(m.before) + " to " + document::format_number(m.after);
      if (run.verdict == verdict::Verdict::kInconclusive) ++c.inconclusive;
      if (run.verdict == verdict::Verdict::kFail) {
        ++c.failed;
        c.alarms[m.address].push_back(way);
        continue;
      }
      const Explanation why = explain_miss(run);
      ++c.misses[why.miss];
      c.missed[m.address].push_back(way + ": " + why.text);
    }
    return c;
  }

  static void print(const char* title, int seen, const Counts& c) {
    const Interval i = clopper_pearson(seen, c.runs);
    std::printf(
        "%s %d of %d (%.0f %%, 95 %% interval %.0f to %.0f %%); %d inconclusive, %d refused by the schema\n",
        title, seen, c.runs, 100.0 * seen / c.runs, 100 * i.lower, 100 * i.upper, c.inconclusive, c.refused);
  }
  static void print(const char* title, const std::map<std::string, std::vector<std::string>>& list) {
    for (const auto& [address, ways] : list)
      for (const std::string& way : ways) std::printf("  %s %-48s %s\n", title, address.c_str(), way.c_str());
  }
  static void print(std::map<Miss, int> misses) {
    std::printf(
        "missed: %d seen by no scenario, %d not judged, %d for the better, %d within the tolerances\n",
        misses[Miss::kUnseen], misses[Miss::kNotJudged], misses[Miss::kForTheBetter], misses[Miss::kWithin]);
  }

  gate::Session session_;
};

TEST_F(Power, CatchesChangesOfTheEffectSize) {
  const Counts c = count(1);
  print("caught", c.failed, c);
  print(c.misses);
  print("missed", c.missed);
  ASSERT_GE(c.runs, static_cast<int>(kSample) / 2);
  EXPECT_GE(clopper_pearson(c.failed, c.runs).upper, kLeastCaught);
}

TEST_F(Power, LetsHarmlessChangesPass) {
  const Counts c = count(kHarmless);
  print("false alarms", c.failed, c);
  print("alarm", c.alarms);
  ASSERT_GE(c.runs, static_cast<int>(kSample) / 2);
  EXPECT_LE(clopper_pearson(c.failed, c.runs).lower, kMostAlarms);
}

}  // namespace
}  // namespace brakeward::power
