// What holds of every fit report.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

#include "gate/fit.h"
#include "verdict/run.h"

namespace brakeward::real_logs {

inline void expect_consistent(const gate::FitReport& r) {
  using gate::FitStop;
  for (auto who : {&FitStop::model, &FitStop::line, &FitStop::constant}) {
    double drops = 0, distances = 0;
    for (const FitStop& s : r.stops) {
      const gate::Prediction& p = s.*who;
      ASSERT_TRUE(std::isfinite(p.speed_drop_mps) && std::isfinite(p.distance_m)) << s.scenario;
      EXPECT_NEAR(p.speed_drop_mps, s.speed_drop_mps * (1 + p.speed_drop_error), 1e-9) << s.scenario;
      EXPECT_NEAR(p.distance_m, s.distance_m * (1 + p.distance_error), 1e-9) << s.scenario;
      drops += p.speed_drop_error;
      distances += p.distance_error;
    }
    const auto& sum = who == &FitStop::model ? r.model : who == &FitStop::line ? r.line : r.constant;
    const double n = static_cast<double>(r.stops.size());
    EXPECT_NEAR(sum.speed_drop_bias, drops / n, 1e-12);
    EXPECT_NEAR(sum.distance_bias, distances / n, 1e-12);
  }
  for (const FitStop& s : r.stops) {
    EXPECT_GE(s.gain, r.gain_lowest);
    EXPECT_LE(s.gain, r.gain_highest);
    // The car drives straight on: distance lies between exit and entry speed times duration.
    const double duration = s.end_s - s.start_s;
    EXPECT_LT(s.distance_m, s.entry_speed_mps * duration);
    EXPECT_GT(s.distance_m, (s.entry_speed_mps - s.speed_drop_mps) * duration);
  }
}

inline void expect_fits_the_page(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(line.size(), 110u) << line;
    EXPECT_TRUE(line.empty() || line.back() != ' ') << line;
  }
}

// Recorded pressure bypasses the calibration: nothing is judged, and that is no pass.
inline void expect_nothing_judged(const verdict::Run& run, size_t scenarios) {
  EXPECT_EQ(run.state, verdict::RunState::kCompleted);
  EXPECT_EQ(run.verdict, verdict::Verdict::kInconclusive);
  EXPECT_EQ(run.scenarios.size(), scenarios);
  for (const auto& s : run.scenarios) {
    EXPECT_EQ(s.verdict, verdict::Verdict::kInconclusive) << s.scenario;
    EXPECT_NE(s.reason.find("nothing was judged"), std::string::npos) << s.scenario << ": " << s.reason;
    EXPECT_FALSE(s.measures.empty());
    for (const auto& m : s.measures) {
      EXPECT_EQ(m.verdict, verdict::Verdict::kNone) << s.scenario << " " << m.measure;
      EXPECT_FALSE(m.reason.empty()) << s.scenario << " " << m.measure;
    }
  }
}

}  // namespace brakeward::real_logs
