#include <algorithm>
#include <cmath>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "math/elementary.h"

namespace brakeward::compile {
namespace {

void scale(double factor, math::Curve<double>& curve) {
  curve.y0 *= factor;
  for (double& slope : curve.slope) slope *= factor;
}

// At low speed the front wheels point along the path: atan of wheelbase times curvature.
v1::Curve along_the_path(const v1::Curve& path, const v1::Chassis& chassis) {
  v1::Curve out = path;
  for (v1::CurvePoint& p : *out.mutable_points())
    p.set_y(chassis.steering_ratio() * math::arctangent(chassis.wheelbase_m() * p.y() * kMilli) / kDegree);
  return out;
}

}  // namespace

void vary(const scenario::Variation& v, plant::PlantParams<double>& out) {
  if (v.grip != 1)
    for (auto& friction : out.road.friction) scale(v.grip, friction);
  for (auto& brake : out.brake) brake.torque_per_pascal *= v.pad_friction;
  for (int t = 0; t < signal::kHandTracks; ++t)
    out.sensor.hand_zero[t] += out.sensor.hand_slope[t] * v.hand_zero_m;
  out.sensor.pedal_zero += out.sensor.pedal_slope * v.pedal_zero_n;
}

void steer(const v1::Vehicle& v, const v1::Scenario& s, replay::ReplayPlan& plan) {
  plan.structure.driver.steers = s.has_steering();
  const v1::Curve angle = s.steering().has_angle_degrees()
                              ? s.steering().angle_degrees()
                              : along_the_path(s.road().path_curvature(), v.chassis());
  if (s.has_steering())
    plan.params.steering.angle = engine_curve(angle, 1, kDegree, 0, &plan.structure.driver.steering_segments);
  plan.params.plant.hand_shift = v.sensors().hand_shift_mm_per_degree() * kMilli / kDegree;
}

void read_feel(const Sources& src, CompiledScenario& out) {
  if (!src.scenario.has_feel()) return;
  out.context.feel_step_mps2 = src.scenario.feel().to_mps2() / measure::kFeelLevels;
  out.plan.structure.feel = true;
  const double onset_s = std::max(0.0, src.scenario.synthetic().onset_s() + src.variation.late_s);
  measure::FeelParams<double>& feel = out.plan.params.feel;
  feel.coasting_tick = std::max(1.0, std::floor(onset_s / out.context.tick_s));
  feel.step = out.context.feel_step_mps2;
  for (int a = 0; a < signal::kAxles; ++a)
    feel.per_torque[a] = 1 / (out.plan.params.plant.mass * out.plan.params.plant.tyre[a].radius);
}

}  // namespace brakeward::compile
