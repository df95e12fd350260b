// Bracken is road-legal: whichever step of the selector is chosen, the front axle uses more of the road than
// the rear, empty and full, so that it would lock first.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "scenario/library.h"

namespace brakeward::demo {
namespace {

constexpr double kGravity = 9.80665;  // m/s^2
constexpr double kSpeed_kph = 100;    // of the speed trim
constexpr double kCold_celsius = 80;  // UN R13-H Annex 3, Type-0: discs between 65 and 100 degC (from memory)
constexpr double kFull_kg = 1100;     // as in heron_full_100
constexpr double kLeast = 0.15, kMost = 0.8;  // braking ratio z

double at(const v1::Curve& curve, double x) {
  const auto& points = curve.points();
  if (points.empty()) return 0;
  for (int i = 1; i < points.size(); ++i)
    if (x < points[i].x() && x >= points[i - 1].x())
      return points[i - 1].y() + (points[i].y() - points[i - 1].y()) * (x - points[i - 1].x()) /
                                     (points[i].x() - points[i - 1].x());
  return x < points[0].x() ? points[0].y() : points[points.size() - 1].y();
}

// Brake force of an axle at the road: 2 wheels x 2 mu A (p - p_open) r_eff / r. bar x cm^2 is 10 N.
double force_n(const v1::WheelBrake& b, const v1::Tyre& tyre, double bar) {
  return 2 * 2 * at(b.pad_friction(), kCold_celsius) * 10 * b.piston_area_cm2() *
         std::max(0.0, bar - b.opening_pressure_bar()) * (1e-3 * b.effective_radius_mm()) /
         tyre.rolling_radius_m();
}

struct Adhesion {
  double z, front, rear;
};

// UN R13-H Annex 5 (formulas from memory, plain statics): f1 = T1 / (P1 + z h/E P), f2 = T2 / (P2 - z h/E P).
Adhesion used(const v1::Vehicle& v, const v1::Balance& balance, double step_percent, double mean_bar,
              double kg) {
  const double share =
      0.01 * (step_percent + at(balance.speed_trim(), kSpeed_kph) + at(balance.demand_trim(), mean_bar));
  const double front = force_n(v.front_brake(), v.front_tyre(), 2 * share * mean_bar);
  const double rear = force_n(v.rear_brake(), v.rear_tyre(), 2 * (1 - share) * mean_bar);
  const v1::Chassis& c = v.chassis();
  const double weight = (c.mass_kg() + kg) * kGravity, z = (front + rear) / weight;
  const double rear_static = weight * c.cog_behind_front_axle_m() / c.wheelbase_m();
  const double transfer = z * weight * c.cog_height_m() / c.wheelbase_m();
  return {z, front / (weight - rear_static + transfer), rear / (rear_static - transfer)};
}

// Directive 71/320/EEC Annex II, appendix, 3.1.1 (seen): the front curve above the rear one for z of 0.15 to
// 0.8, of 0.15 to 0.5 for a van of category N1; the wider band is taken. The model's load sits at the centre
// of gravity, which a real van's does not: the full van is checked as the model has it.
TEST(BrackenBalance, FrontAxleUsesMoreOfTheRoadOnEveryStep) {
  document::Faults faults;
  const auto library =
      scenario::load_library(std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "scenarios/bracken", {}, faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  const v1::Balance& balance = library.calibrations.at(0).message.balance();
  ASSERT_EQ(balance.steps_size(), 3);
  int compared = 0;
  for (const auto& step : balance.steps())
    for (double kg : {0.0, kFull_kg})
      for (double bar = 5; bar <= 105; bar += 1) {
        const Adhesion a = used(library.vehicle.message, balance, step.front_percent(), bar, kg);
        if (a.z < kLeast || a.z > kMost) continue;
        ++compared;
        EXPECT_GT(a.front, a.rear) << step.name() << ", " << kg << " kg, " << bar << " bar, z " << a.z;
      }
  EXPECT_GT(compared, 200);
}

// What the planted mistake of candidate_bad_full_step would do: the order turns within the band.
TEST(BrackenBalance, TheMistakeOfTheFullStepTurnsTheOrder) {
  document::Faults faults;
  const auto folder = std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "scenarios/bracken";
  const auto vehicle = scenario::load_document<v1::Vehicle>(folder / "vehicle/bracken.textproto", faults);
  const auto bad = scenario::load_document<v1::Calibration>(
      folder / "calibrations/candidate_bad_full_step.textproto", faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  bool turned = false;
  for (const auto& step : bad.message.balance().steps())
    for (double bar = 5; bar <= 105; bar += 1) {
      const Adhesion a = used(vehicle.message, bad.message.balance(), step.front_percent(), bar, kFull_kg);
      turned |= step.name() == "full" && a.z >= kLeast && a.z <= kMost && a.rear > a.front;
    }
  EXPECT_TRUE(turned);
}

}  // namespace
}  // namespace brakeward::demo
