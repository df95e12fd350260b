#include "benchmark/integrator.h"

#include <algorithm>
#include <boost/numeric/odeint.hpp>
#include <cmath>
#include <cstdio>
#include <vector>

#include "benchmark/machine.h"
#include "reference/independent_car.h"
#include "reference/sample_plan.h"
#include "replay/engine.h"

namespace brakeward::benchmark {
namespace {

namespace odeint = boost::numeric::odeint;
using reference::IndependentCar;

constexpr double kSeconds = 3, kFront = 45e5, kRear = 30e5;
constexpr int kRounds = 21;

replay::ReplayPlan stop() {
  reference::SampleOptions o;
  o.onset_s = o.rise_s = 0;
  o.length_s = kSeconds;
  o.ends_standing = false;
  return reference::sample_pressure_plan(o, kFront, kRear);
}

double engine_distance(const replay::ReplayPlan& plan) {
  measure::Folds<double> folds{};
  replay::BatchJob job{};
  job.structure = plan.structure;
  job.lanes = 1;
  job.lane[0].params = &plan.params;
  for (int c = 0; c < replay::kInputChannels; ++c) job.lane[0].input[c] = plan.input[c].data();
  job.lane[0].samples = static_cast<long>(plan.input[0].size());
  job.lane[0].folds = &folds;
  replay::run_double(job);
  return folds.last_distance;
}

// `ticked`: halted at every controller tick, as a sampled controller needs it; otherwise free to take long
// steps.
double odeint_distance(const replay::ReplayPlan& plan, double relative_tolerance, bool ticked) {
  const IndependentCar equations(plan.params.plant, true, kFront, kRear);
  auto y = equations.start();
  const auto stepper = odeint::make_controlled<odeint::runge_kutta_dopri5<IndependentCar::State>>(
      1e-2 * relative_tolerance, relative_tolerance);
  const double span = ticked ? plan.structure.plant.tick_s : kSeconds;
  const long spans = std::lround(kSeconds / span);
  for (long i = 0; i < spans; ++i)
    odeint::integrate_adaptive(stepper, equations, y, double(i) * span, double(i + 1) * span,
                               ticked ? span : 1e-4);
  return y[IndependentCar::kDistance];
}

template <class Run>
double seconds_of(const Run& run) {
  const double start = thread_seconds();
  run();
  return thread_seconds() - start;
}

double median(std::vector<double> x) {
  std::sort(x.begin(), x.end());
  return x[x.size() / 2];
}

}  // namespace

bool compare_with_integrator() {
  const replay::ReplayPlan plan = stop();
  const double converged = odeint_distance(plan, 1e-11, false);
  const double ours = engine_distance(plan), theirs = odeint_distance(plan, 1e-6, false);
  if (std::fabs(ours - converged) > 5e-3 || std::fabs(theirs - converged) > 5e-3) {
    std::printf("WRONG     the engine and the integrator differ: %.6f m, %.6f m; converged %.6f m\n", ours,
                theirs, converged);
    return false;
  }
  std::vector<double> engine, general, ticked;
  double sum = 0;
  for (int i = 0; i < kRounds; ++i) {
    engine.push_back(seconds_of([&] { sum += engine_distance(plan); }));
    general.push_back(seconds_of([&] { sum += odeint_distance(plan, 1e-6, false); }));
    ticked.push_back(seconds_of([&] { sum += odeint_distance(plan, 1e-6, true); }));
  }
  const double a = median(engine), b = median(general), c = median(ticked);
  std::printf("odeint    a %.0f s stop of %.3f m at recorded pressure, one core:\n", kSeconds, converged);
  std::printf("          scalar engine, controller, sensors and measures included   %7.3f ms  %+.2f mm\n",
              a * 1e3, (ours - converged) * 1e3);
  std::printf(
      "          Dormand-Prince at 1e-6, the car alone, free steps          %7.3f ms  %+.2f mm  %4.1f x\n",
      b * 1e3, (theirs - converged) * 1e3, b / a);
  std::printf(
      "          the same, halted at every controller tick                  %7.3f ms            %4.1f x\n",
      c * 1e3, c / a);
  return std::isfinite(sum);
}

}  // namespace brakeward::benchmark
