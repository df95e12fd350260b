// The controller's filter, rate limits and pressure control against closed forms.
#define BRAKEWARD_ISA isa_reference_control_test
#include <cmath>
#include <complex>

#include "gtest/gtest.h"
#include "math/filter.h"
#include "model/control/control.inl.h"

namespace brakeward::control {
namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kTick_s = 0.001;

// A pedal whose pressure is its force.
RequestParams<double> straight_pedal(double corner_hz, ControlStructure& st) {
  RequestParams<double> p{};
  p.pedal_smoothing = math::low_pass_coefficient(1 / (2 * kPi * corner_hz), kTick_s);
  p.pedal_feel.width[0] = 1e3;
  p.pedal_feel.slope[0] = 1;
  st.pedal_segments = 1;
  return p;
}

// First order, 1 - exp(-t / tau): the filter is exact at the ticks for an input that is constant between
// them.
TEST(RequestFilter, AStepAnswersAsAFirstOrderLag) {
  for (double corner : {5.0, 25.0, 80.0}) {
    ControlStructure st{};
    const auto p = straight_pedal(corner, st);
    RequestControl<double> s;
    start(s);
    for (int n = 1; n <= 400; ++n)
      ASSERT_NEAR(shape_requests(p, st, 0.0, 100.0, s).pedal,
                  100 * (1 - std::exp(-2 * kPi * corner * n * kTick_s)), 1e-9)
          << corner << " Hz, tick " << n;
  }
}

// A ramp of r a tick, held between ticks: y_n = r (n - (1 - a) / a (1 - (1 - a)^n)), a sum of a geometric
// series; it ends a steady r (1 - a) / a behind.
TEST(RequestFilter, ARampIsFollowedASteadyLagBehind) {
  for (double corner : {5.0, 25.0, 80.0}) {
    ControlStructure st{};
    const auto p = straight_pedal(corner, st);
    RequestControl<double> s;
    start(s);
    const double a = 1 - std::exp(-2 * kPi * corner * kTick_s);
    for (int n = 1; n <= 900; ++n)
      ASSERT_NEAR(shape_requests(p, st, 0.0, 1.0 * n, s).pedal,
                  n - (1 - a) / a * (1 - std::exp(-2 * kPi * corner * n * kTick_s)), 1e-9)
          << corner << " Hz, tick " << n;
  }
}

// y_n = y_(n-1) + a (x_n - y_(n-1)) answers exp(i w n) with a / (1 - (1 - a) exp(-i w)): gain and phase,
// taken off whole periods by correlation once the start has died out. Hand and pedal have the same filter.
TEST(RequestFilter, ASineComesOutWithTheGainAndPhaseOfItsClosedForm) {
  for (double corner : {5.0, 25.0, 80.0})
    for (int period : {8, 20, 40, 125, 500}) {
      ControlStructure st{};
      RequestParams<double> p = straight_pedal(corner, st);
      p.hand_smoothing = p.pedal_smoothing;
      p.hand_feel = p.pedal_feel;
      st.hand_segments = 1;
      RequestControl<double> s;
      start(s);
      const double w = 2 * kPi / period, a = p.pedal_smoothing;
      const std::complex<double> expected = a / (1.0 - (1 - a) * std::polar(1.0, -w));
      constexpr double kMean = 400, kAmplitude = 100;  // well within the feel curve's 0 to 1000
      std::complex<double> by_hand = 0, by_pedal = 0;
      const int settled = 1000 / period * period + period, counted = 4 * period;
      for (int n = 0; n < settled + counted; ++n) {
        const double x = kMean + kAmplitude * std::cos(w * n);
        const Requests<double> y = shape_requests(p, st, x, x, s);
        if (n < settled) continue;
        by_hand += y.hand * std::polar(2.0 / (kAmplitude * counted), -w * n);
        by_pedal += y.pedal * std::polar(2.0 / (kAmplitude * counted), -w * n);
      }
      EXPECT_LT(std::abs(by_hand - expected), 1e-9) << corner << " Hz, period " << period;
      EXPECT_LT(std::abs(by_pedal - expected), 1e-9) << corner << " Hz, period " << period;
      // Far below the sampling rate it is the first-order lag it stands for, 1 / (1 + i f / f_c), but for the
      // half tick that holding a sample costs: within a hundredth at a tenth of the corner.
      const double frequency = 1 / (period * kTick_s);
      if (frequency > 0.1 * corner || corner > 25) continue;
      const std::complex<double> lag = 1.0 / std::complex<double>(1, frequency / corner);
      EXPECT_LT(std::abs(by_pedal - lag), 0.01) << corner << " Hz, period " << period;
    }
}

TEST(DemandLimits, AStepBecomesRampsUpToItOrToTheLimit) {
  PressureParams<double> p{};
  p.fall_per_tick = 0.7e5;
  p.demand_limit = 90e5;
  for (double wanted : {30e5, 120e5})
    for (double rise : {0.15e5, 0.45e5}) {
      PressureControl<double> s;
      start(s);
      const double peak = std::fmin(wanted, 90e5);
      for (int n = 1; n <= 1000; ++n)
        ASSERT_NEAR(limit_demand(p, wanted, rise, s), std::fmin(peak, n * rise), 1e-6 * peak);
      for (int n = 1; n <= 1000; ++n)
        ASSERT_NEAR(limit_demand(p, 0.0, rise, s), std::fmax(0, peak - n * 0.7e5), 1e-6 * peak);
    }
}

// A ramp slower than the limit passes unchanged; a faster one is followed at the limit.
TEST(DemandLimits, ARampPassesUpToTheRate) {
  PressureParams<double> p{};
  p.fall_per_tick = 1e5;
  p.demand_limit = 200e5;
  for (double slope : {0.2e5, 0.45e5, 0.9e5}) {
    PressureControl<double> s;
    start(s);
    for (int n = 1; n <= 100; ++n)
      ASSERT_NEAR(limit_demand(p, slope * n, 0.45e5, s), std::fmin(slope, 0.45e5) * n, 1e-3);
  }
}

// Behind a first-order lag T, feed-forward with P and I gives T e'' + (1 + P) e' + K e = 0 for the error of a
// constant target from e = r, e' = -(1 + P) r / T: e = r / (a - b) (a exp(a t) - b exp(b t)) with the roots a
// and b. Stepped at 10 us, where Euler's error is of the size of a step over the shortest time constant.
TEST(PressureLoop, AStepIsThatOfItsSecondOrderEquation) {
  constexpr double kStep_s = 1e-5, kLag_s = 0.02, kTarget = 40e5;
  const ControlStructure st{};
  for (double proportional : {0.0, 0.3, 1.5})
    for (double integral_per_s : {3.0, 40.0, 100.0}) {
      ControlParams<double> p{};
      p.pressure.proportional = proportional;
      p.pressure.integral_per_tick = integral_per_s * kStep_s;
      p.pressure.integral_limit = 1e9;
      PressureControl<double> s;
      Supervision<double> unused;
      start(s);
      const std::complex<double> half = (1 + proportional) / (2 * kLag_s);
      const std::complex<double> root = std::sqrt(half * half - integral_per_s / kLag_s);
      const std::complex<double> a = -half + root, b = -half - root;
      signal::SensorFrame<double> frame{};
      const Targets<double> target{{kTarget, 0}, {1, 1}, {}, {}};
      for (int i = 0; i < 30000; ++i) {
        const double t = i * kStep_s;
        const double error = (kTarget / (a - b) * (a * std::exp(a * t) - b * std::exp(b * t))).real();
        ASSERT_NEAR(frame.pressure[0], kTarget - error, 2e-3 * kTarget)
            << proportional << ", " << integral_per_s << "/s, " << t << " s";
        const auto command = command_pressure(p, st, frame, target, unused, s);
        frame.pressure[0] += kStep_s / kLag_s * (command.pressure[0] - frame.pressure[0]);
      }
    }
}

}  // namespace
}  // namespace brakeward::control
