// Nine braking events of a real autonomous race car, replayed from commanded brake pressure.
// Log: github.com linklab-uva/deep-dynamics, deep_dynamics/data, commit
// 88c856539c84fe7004b933d1cf03aad14ab69bd2 (GPL-3.0: read here, never copied).
#include <gtest/gtest.h>

#include "invariants.h"
#include "recordings.h"
#include "signal/observables.h"

namespace brakeward::real_logs {
namespace {

using recording::Signal;

TEST(AutonomousOpenWheel, EveryEventIsReplayedAndPredicted) {
  BRAKEWARD_NEEDS_RECORDINGS();
  const auto report = gate::fit_gain(fit_options("autonomous-open-wheel"));
  ASSERT_TRUE(report.ok()) << report.status().message();
  ASSERT_EQ(report->stops.size(), 9u);
  EXPECT_FALSE(report->lateral_logged);
  expect_consistent(*report);
  expect_fits_the_page(gate::render(*report));
  // No outside mark: pins what README.md of the library states.
  EXPECT_NEAR(report->model.speed_drop.median, 0.098, 0.0005);
  EXPECT_FALSE(report->drop_over_line.proven());
  EXPECT_FALSE(report->drop_over_constant.proven());
}

TEST(AutonomousOpenWheel, ACheckJudgesNothing) {
  BRAKEWARD_NEEDS_RECORDINGS();
  const auto run = check("autonomous-open-wheel");
  ASSERT_TRUE(run.ok()) << run.status().message();
  expect_nothing_judged(*run, 9);
}

// Mean front wheel speed over vehicle speed, over the log's samples in [from, to].
double front_ratio(const recording::Log& log, double from_s, double to_s) {
  double sum = 0, count = 0;
  for (size_t i = 0; i < log.time_s.size(); ++i) {
    if (log.time_s[i] < from_s || log.time_s[i] > to_s) continue;
    sum += 0.5 * (log[Signal::kWheelSpeedFrontLeft][i] + log[Signal::kWheelSpeedFrontRight][i]) /
           log[Signal::kSpeed][i];
    ++count;
  }
  return sum / count;
}

double peak_front_slip(const replay::Trace& trace) {
  int column = 0;
  while (std::string_view(signal::kObservables[column].name) != "brake_slip_front_left") ++column;
  double peak = 0;
  for (long k = 0; k < trace.ticks; ++k)
    peak = std::max(peak, trace.rows[static_cast<size_t>(k * signal::kObservableCount + column)]);
  return peak;
}

// Plausibility, not accuracy: these events brake gently, and recorded wheels (against their own speed before
// the brake) and replayed wheels agree that the front slips by no more than 2 %. Common practice, no source:
// 2 % is a fifth of the slip at a racing tyre's peak.
TEST(AutonomousOpenWheel, FrontSlipIsSmallInLogAndReplay) {
  BRAKEWARD_NEEDS_RECORDINGS();
  constexpr double kSmall = 0.02;
  const auto options = fit_options("autonomous-open-wheel");
  document::Faults faults;
  const auto lib = scenario::load_library(options.library, options.load, faults);
  ASSERT_TRUE(faults.empty()) << faults.status().message();
  gate::Options how;
  how.library = options.library;
  how.calibration = options.library / "calibrations/bypassed.textproto";
  how.load = options.load;
  for (const auto& s : lib.scenarios) {
    const auto& r = s.message.recorded();
    const recording::Log& log = lib.recording_named(r.recording())->log;
    const double before = front_ratio(log, r.start_s(), r.start_s() + 1);
    const double braked = front_ratio(log, r.end_s() - 0.4, r.end_s());
    EXPECT_LT(std::fabs(1 - braked / before), kSmall) << s.message.name();
    const auto outcome = gate::replay_scenario(how, s.message.name());
    ASSERT_TRUE(outcome.ok()) << outcome.status().message();
    EXPECT_LT(peak_front_slip(outcome->trace), kSmall) << s.message.name();
    EXPECT_GT(peak_front_slip(outcome->trace), 0) << s.message.name();
  }
}

}  // namespace
}  // namespace brakeward::real_logs
