// A trace is the replay that made the folds.
#include <algorithm>
#include <string_view>
#include <vector>

#include "gtest/gtest.h"
#include "replay/replay.h"
#include "signal/observables.h"
#include "unit/replay/random_plans.h"

namespace brakeward::replay {
namespace {

std::vector<double> column(const Trace& trace, std::string_view name) {
  const size_t c = signal::column_of(name);
  std::vector<double> out;
  for (long i = 0; i < trace.ticks; ++i)
    out.push_back(trace.rows[static_cast<size_t>(i * signal::kObservableCount) + c]);
  return out;
}

double greatest(const std::vector<double>& x) {
  return *std::max_element(x.begin(), x.end());
}

TEST(Trace, ShowsWhatTheFoldsKept) {
  for (unsigned seed = 1; seed < 25; ++seed) {
    const ReplayPlan plan = random_plan(seed);
    const std::vector<const ReplayPlan*> one = {&plan};
    std::vector<measure::Folds<double>> folds;
    ASSERT_TRUE(run(one, {}, folds).ok());
    const measure::Folds<double>& f = folds[0];
    const Trace t = trace(plan);
    ASSERT_EQ(t.ticks, static_cast<long>(f.finish_tick));
    ASSERT_EQ(t.rows.size(), static_cast<size_t>(t.ticks * signal::kObservableCount));
    EXPECT_EQ(column(t, "speed").back(), f.last_speed);
    EXPECT_EQ(column(t, "distance").back(), f.last_distance);
    EXPECT_EQ(greatest(column(t, "disc_front_left")) <= f.peak_disc[0], true);
    EXPECT_EQ(greatest(column(t, "pressure_front")), f.peak_pressure * 1e-5);
    auto slip = column(t, "brake_slip_front_left");
    const auto right = column(t, "brake_slip_front_right"), speed = column(t, "speed");
    for (size_t i = 0; i < slip.size(); ++i) slip[i] = speed[i] > 2 ? std::max(slip[i], right[i]) : 0;
    EXPECT_EQ(std::max(0.0, greatest(slip)), f.peak_slip[0]);
    auto deceleration = column(t, "deceleration");
    deceleration.erase(deceleration.begin(),
                       deceleration.begin() + static_cast<long>(plan.params.fold.onset_tick));
    EXPECT_EQ(greatest(deceleration), f.peak_deceleration);
  }
}

TEST(Trace, TimeIsTicksNotARunningSum) {
  const ReplayPlan plan = random_plan(2);
  const auto time = column(trace(plan), "time");
  for (size_t i = 0; i < time.size(); ++i)
    ASSERT_EQ(time[i], static_cast<double>(i + 1) * plan.structure.plant.tick_s);
}

}  // namespace
}  // namespace brakeward::replay
