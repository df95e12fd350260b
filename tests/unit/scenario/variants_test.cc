// Replays beside a scenario's own: which there are, in what they differ, and what is refused.
#include "scenario/variants.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <string>

#include "document/content_hash.h"
#include "end_to_end/library_copy.h"
#include "scenario/library.h"

namespace brakeward::scenario {
namespace {

using end_to_end::LibraryCopy;
using testing::HasSubstr;

v1::Scenario sample() {
  v1::Scenario s;
  s.set_name("bend");
  s.mutable_road()->mutable_path_curvature()->add_points()->set_y(10);
  s.mutable_road()->mutable_banking()->add_points()->set_y(-2);
  s.mutable_road()->mutable_friction_left()->add_points()->set_y(0.5);
  s.mutable_road()->mutable_friction_right()->add_points()->set_y(0.9);
  s.mutable_steering()->mutable_angle_degrees()->add_points()->set_y(60);
  s.set_cargo_kg(40);
  return s;
}

std::vector<Variant> of_kind(const v1::Scenario& s, VariantKind kind) {
  std::vector<Variant> out = variants_of(s);
  std::erase_if(out, [&](const Variant& v) { return v.kind != kind; });
  return out;
}

TEST(Variants, ThereAreNoneUnlessAsked) {
  EXPECT_TRUE(variants_of(sample()).empty());
  EXPECT_EQ(count_variants(sample()), 0);
}

TEST(Variants, RepetitionsAreNoisyAsSaidAndTheSameEveryTime) {
  v1::Scenario s = sample();
  s.mutable_repeatability()->set_count(1000);
  s.mutable_repeatability()->set_seed(7);
  s.mutable_repeatability()->set_amplitude_percent(2);
  s.mutable_repeatability()->set_time_ms(30);
  const auto made = variants_of(s), again = variants_of(s);
  ASSERT_EQ(made.size(), 1000u);
  EXPECT_EQ(made[2].name, "bend/repeat@3");
  double sum = 0, square = 0, late_square = 0, both = 0;
  for (size_t i = 0; i < made.size(); ++i) {
    EXPECT_EQ(made[i].variation.amplitude, again[i].variation.amplitude);
    EXPECT_EQ(made[i].variation.late_s, again[i].variation.late_s);
    const double off = made[i].variation.amplitude - 1, late = made[i].variation.late_s;
    EXPECT_LE(std::fabs(off), 0.06 + 1e-12);
    EXPECT_LE(std::fabs(late), 0.09 + 1e-12);
    sum += off, square += off * off, late_square += late * late, both += off * late;
  }
  // Standard errors of mean, deviation and correlation of n normal draws: 1/sqrt(n), 1/sqrt(2 n), 1/sqrt(n);
  // four of them.
  const double n = 1000;
  EXPECT_NEAR(sum / n, 0, 4 * 0.02 / std::sqrt(n));
  EXPECT_NEAR(std::sqrt(square / n), 0.02, 4 * 0.02 / std::sqrt(2 * n));
  EXPECT_NEAR(std::sqrt(late_square / n), 0.03, 4 * 0.03 / std::sqrt(2 * n));
  EXPECT_NEAR(both / std::sqrt(square * late_square), 0, 4 / std::sqrt(n));
  s.mutable_repeatability()->set_seed(8);
  EXPECT_NE(variants_of(s)[0].variation.amplitude, made[0].variation.amplitude);
}

TEST(Variants, MirroredTwiceIsAsItWas) {
  v1::Scenario s = sample();
  s.mutable_repeatability()->set_mirrored(true);
  auto* air = s.add_caliper_air();
  air->set_wheel(v1::WHEEL_REAR_LEFT);
  auto mirrored = of_kind(s, VariantKind::kMirrored);
  ASSERT_EQ(mirrored.size(), 1u);
  v1::Scenario& once = mirrored[0].message;
  EXPECT_EQ(once.road().path_curvature().points(0).y(), -10);
  EXPECT_EQ(once.road().banking().points(0).y(), 2);
  EXPECT_EQ(once.road().friction_left().points(0).y(), 0.9);
  EXPECT_EQ(once.steering().angle_degrees().points(0).y(), -60);
  EXPECT_EQ(once.caliper_air(0).wheel(), v1::WHEEL_REAR_RIGHT);
  once.mutable_repeatability()->set_mirrored(true);
  v1::Scenario twice = of_kind(once, VariantKind::kMirrored)[0].message;
  twice.set_name(s.name());
  *twice.mutable_repeatability() = s.repeatability();
  EXPECT_EQ(twice.SerializeAsString(), s.SerializeAsString());
}

TEST(Variants, CornersAreAllCombinations) {
  v1::Scenario s = sample();
  v1::Corners* c = s.mutable_repeatability()->mutable_corners();
  c->set_grip_low_percent(80);
  c->set_grip_high_percent(110);
  c->set_load_kg(60);
  c->set_hand_zero_mm(0.3);
  const auto corners = variants_of(s);
  ASSERT_EQ(corners.size(), 8u);
  EXPECT_EQ(count_variants(s), 8);
  std::set<std::string> names;
  for (const Variant& v : corners) {
    EXPECT_TRUE(names.insert(v.name).second) << v.name;
    const bool loaded = v.name.find("load") != std::string::npos;
    EXPECT_EQ(v.message.cargo_kg(), loaded ? 100 : 40) << v.name;
    const bool low = v.name.find("grip_low") != std::string::npos;
    EXPECT_EQ(v.variation.grip, low ? 0.8 : 1.1) << v.name;
    EXPECT_DOUBLE_EQ(std::fabs(v.variation.hand_zero_m), 0.3e-3) << v.name;
  }
  EXPECT_TRUE(names.count("bend/corner@grip_low,load,hand_zero_high"));
  EXPECT_TRUE(names.count("bend/corner@grip_high,hand_zero_low"));
}

std::string faults_after(void (*change)(v1::Scenario&)) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), change);
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  return faults.render();
}

struct Refusal {
  const char* name;
  void (*change)(v1::Scenario&);
  const char* text;
};

const Refusal kRefusals[] = {
    {"nothing_asked", [](v1::Scenario& s) { s.mutable_repeatability(); },
     "repeatability: asks for no replay"},
    {"one_repetition",
     [](v1::Scenario& s) {
       s.mutable_repeatability()->set_count(1);
       s.mutable_repeatability()->set_time_ms(1);
     },
     "repeatability.count: 1; a spread needs at least 2"},
    {"no_noise", [](v1::Scenario& s) { s.mutable_repeatability()->set_count(5); },
     "repeatability.amplitude_percent: 0, and time_ms is 0 too"},
    {"too_much_noise",
     [](v1::Scenario& s) {
       s.mutable_repeatability()->set_count(5);
       s.mutable_repeatability()->set_amplitude_percent(25);
     },
     "repeatability.amplitude_percent: 25 % is above the allowed 0 to 20 %"},
    {"noise_of_nothing", [](v1::Scenario& s) { s.mutable_repeatability()->set_time_ms(5); },
     "repeatability.count: 0; noise is of repetitions"},
    {"nothing_to_mirror", [](v1::Scenario& s) { s.mutable_repeatability()->set_mirrored(true); },
     "repeatability.mirrored: left and right are alike"},
    {"one_step", [](v1::Scenario& s) { s.mutable_repeatability()->add_balance_steps("0"); },
     "repeatability.balance_steps: a range needs at least 2"},
    {"unknown_step",
     [](v1::Scenario& s) {
       s.mutable_repeatability()->add_balance_steps("0");
       s.mutable_repeatability()->add_balance_steps("+9");
     },
     "scenario step_hand chooses \"+9\", which this calibration lacks"},
    {"no_corner", [](v1::Scenario& s) { s.mutable_repeatability()->mutable_corners(); },
     "repeatability.corners: no condition is given"},
    {"crossed_fluid",
     [](v1::Scenario& s) {
       s.mutable_repeatability()->mutable_corners()->set_fluid_low_celsius(20);
       s.mutable_repeatability()->mutable_corners()->set_fluid_high_celsius(10);
     },
     "repeatability.corners.fluid_high_celsius: 10 degC is not above fluid_low_celsius, 20 degC"},
    {"no_motors",
     [](v1::Scenario& s) { s.mutable_repeatability()->mutable_corners()->set_full_charge(true); },
     "repeatability.corners.full_charge: has no effect"},
};

std::string name_of(const testing::TestParamInfo<Refusal>& info) {
  return info.param.name;
}

class Refused : public testing::TestWithParam<Refusal> {};

TEST_P(Refused, WithAddressAndRemedy) {
  EXPECT_THAT(faults_after(GetParam().change), HasSubstr(GetParam().text));
}

INSTANTIATE_TEST_SUITE_P(Repeatability, Refused, testing::ValuesIn(kRefusals), name_of);

}  // namespace
}  // namespace brakeward::scenario
