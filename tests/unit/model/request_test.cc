// The request supervision against the same rules written as plain branches, over random sequences; and single
// rules by name.
#define BRAKEWARD_ISA isa_request_test
#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "gtest/gtest.h"
#include "model/control/request.inl.h"

namespace brakeward::control {
namespace {

constexpr int kDebounce = 5, kPlausible = 8, kReleased = 6;

RequestParams<double> params() {
  RequestParams<double> p{};
  p.hand_zero[0] = 0.5;
  p.hand_zero[1] = 4.5;
  p.hand_scale[0] = 0.01;
  p.hand_scale[1] = -0.01;
  p.volts_minimum = 0.25;
  p.volts_maximum = 4.75;
  p.track_difference = 0.0025;
  p.debounce_ticks = kDebounce;
  p.rearm_plausible_ticks = kPlausible;
  p.rearm_released_ticks = kReleased;
  p.released_below = 0.001;
  p.limited_share = 0.85;
  return p;
}

// The same rules, one track and one state at a time.
class PlainSupervision {
 public:
  signal::RequestState state = signal::kReady;
  double travel = 0;

  void step(double volts_a, double volts_b) {
    const double volts[] = {volts_a, volts_b};
    const double seen[] = {(volts_a - 0.5) * 0.01, (4.5 - volts_b) * 0.01};
    const bool in_range[] = {inside(volts[0]), inside(volts[1])};
    const bool differ = in_range[0] && in_range[1] && std::fabs(seen[0] - seen[1]) > 0.0025;
    double greatest = -1;
    for (int t = 0; t < 2; ++t) {
      if (in_range[t] && !differ) {
        held_[t] = seen[t];
        bad_[t] = 0;
        ++good_[t];
        greatest = std::max(greatest, seen[t]);
      } else {
        ++bad_[t];
        good_[t] = 0;
      }
    }
    if (greatest > -0.5 && greatest < 0.001)
      ++released_;
    else
      released_ = 0;
    for (int t = 0; t < 2; ++t) {
      if (bad_[t] > kDebounce)
        excluded_[t] = true;
      else if (good_[t] >= kPlausible && released_ >= kReleased)
        excluded_[t] = false;
    }
    decide();
  }

 private:
  static bool inside(double volts) { return volts >= 0.25 && volts <= 4.75; }

  void decide() {
    const int left = (excluded_[0] ? 0 : 1) + (excluded_[1] ? 0 : 1);
    bool waiting = false;
    for (int t = 0; t < 2; ++t) waiting = waiting || (excluded_[t] && good_[t] > 0);
    switch (left) {
      case 2:
        state = signal::kReady;
        travel = 0.5 * (held_[0] + held_[1]);
        break;
      case 1:
        state = waiting ? signal::kRearming : signal::kLimited;
        travel = excluded_[0] ? held_[1] : held_[0];
        break;
      default:
        state = waiting ? signal::kRearming : signal::kLost;
        travel = 0;
    }
  }

  double held_[2] = {0, 0};
  long bad_[2] = {0, 0}, good_[2] = {1000000000, 1000000000}, released_ = 0;
  bool excluded_[2] = {false, false};
};

struct Volts {
  double a, b;
};
Volts of_travel(double travel) {
  return {0.5 + 100 * travel, 4.5 - 100 * travel};
}

// Mostly sound volts of a hand that moves, with spells of open, short, offset and stuck tracks.
std::vector<Volts> random_sequence(unsigned seed, int ticks) {
  std::mt19937 dice(seed);
  const auto chance = [&] { return static_cast<double>(dice()) * 0x1p-32; };
  std::vector<Volts> out;
  double travel = 0;
  int spell[2] = {0, 0}, kind[2] = {0, 0}, hold = 0;
  for (int i = 0; i < ticks; ++i) {
    if (--hold <= 0) {
      hold = 1 + static_cast<int>(40 * chance());
      travel = chance() < 0.5 ? 0 : 0.04 * chance();
    }
    Volts v = of_travel(travel);
    double* volts[] = {&v.a, &v.b};
    for (int t = 0; t < 2; ++t) {
      if (--spell[t] <= 0) {
        spell[t] = 1 + static_cast<int>(30 * chance());
        kind[t] = chance() < 0.7 ? 0 : 1 + static_cast<int>(3 * chance());
      }
      if (kind[t] == 1) *volts[t] = 0;
      if (kind[t] == 2) *volts[t] = 5;
      if (kind[t] == 3) *volts[t] += 0.35;
    }
    out.push_back(v);
  }
  return out;
}

double check(const RequestParams<double>& p, Volts v, RequestControl<double>& s) {
  signal::SensorFrame<double> frame{};
  frame.hand_volts[0] = v.a;
  frame.hand_volts[1] = v.b;
  return check_hand(p, frame, false, s);
}

TEST(RequestSupervision, FollowsThePlainRulesOverRandomSequences) {
  int visits[4] = {0, 0, 0, 0};
  for (unsigned seed = 0; seed < 200; ++seed) {
    RequestControl<double> s;
    start(s);
    PlainSupervision plain;
    int tick = 0;
    for (const Volts& v : random_sequence(seed, 1000)) {
      const double travel = check(params(), v, s);
      plain.step(v.a, v.b);
      ASSERT_EQ(s.state, double(plain.state)) << "seed " << seed << " tick " << tick;
      ASSERT_NEAR(travel, plain.travel, 1e-15) << "seed " << seed << " tick " << tick;
      ++visits[plain.state];
      ++tick;
    }
  }
  for (int count : visits) EXPECT_GT(count, 100);  // the sequences reach every state
}

TEST(RequestSupervision, AGlitchShorterThanTheDebounceChangesNothing) {
  RequestControl<double> s;
  start(s);
  const auto p = params();
  for (int i = 0; i < 20; ++i) check(p, of_travel(0.02), s);
  for (int i = 0; i < kDebounce; ++i) {
    EXPECT_NEAR(check(p, {0, of_travel(0.02).b}, s), 0.02, 1e-15);
    EXPECT_EQ(s.state, double(signal::kReady));
  }
  check(p, {0, of_travel(0.02).b}, s);
  EXPECT_EQ(s.state, double(signal::kLimited));
}

TEST(RequestSupervision, ALostRequestComesBackOnlyReleasedAndPlausible) {
  RequestControl<double> s;
  start(s);
  const auto p = params();
  for (int i = 0; i < 20; ++i) check(p, {0, 0}, s);
  EXPECT_EQ(s.state, double(signal::kLost));
  for (int i = 0; i < 50; ++i) EXPECT_EQ(check(p, of_travel(0.02), s), 0);  // good again, but held
  EXPECT_EQ(s.state, double(signal::kRearming));
  for (int i = 0; i < kReleased; ++i) check(p, of_travel(0), s);
  EXPECT_EQ(s.state, double(signal::kReady));
  EXPECT_NEAR(check(p, of_travel(0.02), s), 0.02, 1e-15);
}

// Without messages there is no request at once, and it comes back only released and plausible.
TEST(RequestSupervision, IsLostWhileNoMessagesCome) {
  RequestControl<double> s;
  start(s);
  const auto p = params();
  signal::SensorFrame<double> frame{};
  const auto at = [&](double travel, bool silent) {
    frame.hand_volts[0] = of_travel(travel).a;
    frame.hand_volts[1] = of_travel(travel).b;
    return check_hand(p, frame, silent, s);
  };
  for (int i = 0; i < 20; ++i) at(0.02, false);
  EXPECT_EQ(at(0.02, true), 0);
  EXPECT_EQ(s.state, double(signal::kLost));
  for (int i = 0; i < 50; ++i) EXPECT_EQ(at(0.02, false), 0);
  EXPECT_EQ(s.state, double(signal::kRearming));
  for (int i = 0; i < kReleased; ++i) at(0, false);
  EXPECT_EQ(s.state, double(signal::kReady));
}

RequestParams<double> shaping(ControlStructure& st) {
  RequestParams<double> p = params();
  p.hand_smoothing = p.pedal_smoothing = 1;
  p.hand_play = 0.002;
  p.hand_dead_band = 0.001;
  p.pedal_zero = 0.5;
  p.pedal_scale = 250;
  p.pedal_dead_band = 20;
  p.hand_feel.width[0] = 0.04;
  p.hand_feel.slope[0] = 100e5 / 0.04;
  p.pedal_feel.width[0] = 500;
  p.pedal_feel.slope[0] = 100e5 / 500;
  st.hand_segments = st.pedal_segments = 1;
  return p;
}

double larger(const RequestParams<double>& p, const ControlStructure& st, double travel, double force,
              RequestControl<double>& s) {
  return arbitrate(st, shape_requests(p, st, travel, force, s), 0.0);
}

TEST(RequestShaping, PlayDeadBandAndCurve) {
  ControlStructure st{};
  const auto p = shaping(st);
  RequestControl<double> s;
  start(s);
  EXPECT_EQ(larger(p, st, 0.0015, 0.0, s), 0);  // play and dead band
  EXPECT_NEAR(larger(p, st, 0.022, 0.0, s), 0.020 * 100e5 / 0.04, 1e-6);
  EXPECT_NEAR(larger(p, st, 0.0205, 0.0, s), 0.020 * 100e5 / 0.04, 1e-6);  // going back: play first
  EXPECT_NEAR(larger(p, st, 0.015, 0.0, s), 0.015 * 100e5 / 0.04, 1e-6);
}

TEST(RequestShaping, TheLargerRequestWinsNeverTheSum) {
  ControlStructure st{};
  const auto p = shaping(st);
  for (double force : {0.0, 120.0, 270.0, 420.0}) {
    RequestControl<double> s;
    start(s);
    const double pedal = std::max(0.0, force - 20) * 100e5 / 500, hand = 0.020 * 100e5 / 0.04;
    EXPECT_NEAR(larger(p, st, 0.022, force, s), std::max(pedal, hand), 1e-3);
  }
}

TEST(RequestShaping, OneTrackGivesItsShareOfTheHandOnly) {
  ControlStructure st{};
  const auto p = shaping(st);
  RequestControl<double> s;
  start(s);
  s.excluded[0] = 1;
  EXPECT_NEAR(larger(p, st, 0.022, 0.0, s), 0.85 * 0.020 * 100e5 / 0.04, 1e-6);
  EXPECT_NEAR(larger(p, st, 0.022, 520.0, s), 100e5, 1e-6);
}

ControlStructure selecting() {
  ControlStructure st{};
  st.selects = true;
  return st;
}

// Whatever the share, the outcome lies between the two requests.
TEST(Arbitration, BySelectorIsAMeanNeverASum) {
  for (const double hand : {0.0, 10e5, 40e5})
    for (const double pedal : {0.0, 25e5, 90e5})
      for (double share = 0; share <= 1; share += 0.125) {
        const double out = arbitrate(selecting(), Requests<double>{hand, pedal}, share);
        EXPECT_NEAR(out, (1 - share) * hand + share * pedal, 1e-6);
        EXPECT_LE(out, std::max(hand, pedal));
      }
  EXPECT_EQ(arbitrate(ControlStructure{}, Requests<double>{10e5, 25e5}, 0.0), 25e5);
}

TEST(Arbitration, GoesOverInARampAndToTheOtherControlWhileTheSelectedOneIsLost) {
  const ArbitrationParams<double> p{0.1, 0};
  double share = 0;
  const auto run = [&](double selected, bool hand_lost, bool pedal_lost, int ticks) {
    for (int i = 0; i < ticks; ++i) {
      const double now = change_over(p, selected, hand_lost, pedal_lost, share);
      EXPECT_LE(std::fabs(now - share), 0.1 + 1e-12);
      share = now;
    }
    return share;
  };
  EXPECT_NEAR(run(1, false, false, 4), 0.4, 1e-12);
  EXPECT_EQ(run(1, false, false, 10), 1);
  EXPECT_EQ(run(1, false, true, 20), 0) << "the selected pedal is lost";
  EXPECT_EQ(run(0, false, true, 20), 0);
  EXPECT_EQ(run(0, true, false, 20), 1) << "the selected hand control is lost";
  EXPECT_EQ(run(1, true, false, 20), 1);
}

}  // namespace
}  // namespace brakeward::control
