// When a recording was made does not matter: with every time of its log later by the same amount, every
// measure is the same but for the rounding of the times.
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "end_to_end/library_copy.h"
#include "gate/check.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

// A difference of two times of some 1000 s is good to 2e-13 s; values change by less than 1e4 of their unit a
// second.
constexpr double kRounding = 1e-8;

verdict::Run run_of(const LibraryCopy& copy) {
  Options options;
  options.library = copy.folder();
  options.calibration = copy.released();
  auto run = check(options);
  EXPECT_TRUE(run.ok()) << run.status();
  return run.ok() ? *std::move(run) : verdict::Run();
}

// Adds `ms` to the first column of the log, but for the row of names.
void shift(const std::string& log, long ms) {
  std::istringstream lines(end_to_end::read_file(log));
  std::string line, out;
  std::getline(lines, line);
  out = line + "\n";
  while (std::getline(lines, line)) {
    const size_t end = line.find(';');
    out += std::to_string(std::stol(line.substr(0, end)) + ms) + line.substr(end) + "\n";
  }
  end_to_end::write_file(log, out);
}

TEST(RecordingShift, ChangesNoMeasure) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "corrie_dry_60"});
  const verdict::Run before = run_of(copy);
  for (const char* name : {"saltmarsh_session", "corrie_dry_60"}) {
    const std::string recording = std::string("recordings/") + name;
    copy.change<v1::Recording>(copy.file(recording + ".textproto"),
                               [](v1::Recording& r) { r.clear_file_sha256(); });
    shift(copy.file(recording + ".csv"), 1'234'567);
  }
  const verdict::Run after = run_of(copy);
  ASSERT_EQ(after.scenarios.size(), before.scenarios.size());
  size_t compared = 0;
  for (size_t s = 0; s < before.scenarios.size(); ++s) {
    for (size_t m = 0; m < before.scenarios[s].measures.size(); ++m) {
      const auto &then = before.scenarios[s].measures[m], &now = after.scenarios[s].measures[m];
      EXPECT_EQ(now.verdict, then.verdict) << then.measure;
      ASSERT_EQ(now.value.has_value(), then.value.has_value()) << then.measure;
      if (!then.value) continue;
      EXPECT_NEAR(*now.value, *then.value, kRounding * (1 + std::fabs(*then.value))) << then.measure;
      ++compared;
    }
    ASSERT_TRUE(before.scenarios[s].reproduction && after.scenarios[s].reproduction);
    const auto &then = before.scenarios[s].reproduction->channels,
               &now = after.scenarios[s].reproduction->channels;
    ASSERT_EQ(now.size(), then.size());
    for (size_t c = 0; c < then.size(); ++c) EXPECT_NEAR(*now[c].rating, *then[c].rating, 1e-6);
  }
  EXPECT_GT(compared, 20u);
}

}  // namespace
}  // namespace brakeward::gate
