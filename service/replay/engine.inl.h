// The replay loop, one tick after another. Kernel: included by engine translation units only.
#pragma once

#include "math/dead_time.inl.h"
#include "math/kernel.inl.h"
#include "measure/driver_folds.inl.h"
#include "measure/folds.inl.h"
#include "model/control/control.inl.h"
#include "model/driver/driver.inl.h"
#include "model/fault/fault.inl.h"
#include "model/plant/bus.inl.h"
#include "model/plant/plant.inl.h"
#include "model/plant/sensors.inl.h"
#include "replay/engine.h"
#include "replay/kept.inl.h"
#include "replay/lanes.inl.h"
#include "replay/stint_folds.inl.h"
#include "replay/trace_row.inl.h"

namespace brakeward::replay {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Covers the longest dead time at the shortest tick (100 ms at 0.5 ms) and one more.
inline constexpr int kRingDepth = 256;
// The pressure may take this long to leave after the reference demand has ended before it counts as
// unrequested.
inline constexpr double kSettleSeconds = 0.5;

// Commands on their way to the actuators.
template <class Real>
using DeadTime = math::DeadTime<Real, kRingDepth>;

template <class Real>
struct ReplayState {
  plant::PlantConstants<Real> constants;  // of the car, worked out once
  plant::PlantState<Real> plant;
  plant::SensorState<Real> sensors;
  plant::RequestBus<Real> bus;
  driver::DriverState<Real> driver;
  fault::FaultState<Real> fault;
  control::ControlState<Real> control;
  measure::Folds<Real> folds;
  measure::StintFolds<Real> stint;  // moved only on a leg of a stint
  DeadTime<Real> dead_time[signal::kAxles];
  DeadTime<Real> wheel_dead_time[signal::kWheels];  // only where there are valves per wheel
};

template <class Real>
inline void gather_params(const BatchJob& job, ReplayParams<Real>& out) {
  put_lanes(
      job, [](const LaneJob& lane) { return reinterpret_cast<const double*>(lane.params); }, out);
}

template <class Real>
inline Real input_at(const BatchJob& job, InputChannel channel, long tick) {
  const double* from[Traits<Real>::lanes];
  for (int k = 0; k < Traits<Real>::lanes; ++k) {
    const LaneJob& lane = job.lane[k < job.lanes ? k : 0];
    from[k] = lane.input[channel] + (tick < lane.samples ? tick : lane.samples - 1);
  }
  return load<Real>(from, 0);
}

// A leg of a stint goes on where the one before ended.
template <class Real>
inline void go_on(const BatchJob& job, const ReplayParams<Real>& p, ReplayState<Real>& s,
                  signal::PlantSignals<Real>& seen) {
  if (job.lane[0].from) {
    Kept<Real> kept;
    put_lanes(
        job, [](const LaneJob& lane) { return lane.from->value; }, kept);
    take_over(kept, p.plant.start_speed, s.plant, s.sensors, s.control, seen);
  }
  start(seen, s.stint);
}

template <class Real>
inline void start(const BatchJob& job, const ReplayParams<Real>& p, ReplayState<Real>& s,
                  signal::PlantSignals<Real>& seen) {
  s.constants = plant::constants_of(p.plant, job.structure.plant);
  plant::start(p.plant, s.constants, s.plant);
  plant::start(p.plant.sensor, s.sensors);
  if (job.structure.driver.follows) driver::start(p.follow, s.driver);
  fault::start(p.fault, s.fault);
  control::start(p.control, p.plant.start_speed, s.control);
  measure::start(s.folds);
  for (int a = 0; a < signal::kAxles; ++a) start(p.plant.actuator[a].dead_ticks, s.dead_time[a]);
  if (job.structure.plant.wheel_valves)
    for (int w = 0; w < signal::kWheels; ++w) {
      const int circuit = signal::circuit_of(job.structure.plant.diagonal, w);
      start(p.plant.actuator[circuit].dead_ticks, s.wheel_dead_time[w]);
    }
  for (int w = 0; w < signal::kWheels; ++w) seen.wheel_speed[w] = s.plant.wheel_speed[w];
  for (int a = 0; a < signal::kAxles; ++a)
    seen.pressure[a] = seen.line_pressure[a] = seen.motor_torque[a] = Real(0.0);
  seen.battery_charge = seen.energy_recovered = seen.pedal_travel = Real(0.0);
  s.folds.last_speed = s.folds.onset_speed = p.plant.start_speed;  // an onset at the very start has no tick
  if (job.stint) go_on(job, p, s, seen);
}

// Driver, faults, sensors, controller, dead time, plant, folds. Time is tick x dt, never a running sum.
template <class Real>
inline void step(const BatchJob& job, const ReplayParams<Real>& p, long tick, ReplayState<Real>& s,
                 signal::PlantSignals<Real>& seen, signal::ControlSignals<Real>& control) {
  const Structure& st = job.structure;
  driver::DriverSample<Real> sample;
  sample.hand_travel = input_at<Real>(job, kHandTravel, tick);
  sample.pedal_force = input_at<Real>(job, kPedalForce, tick);
  sample.target_speed = input_at<Real>(job, kTargetSpeed, tick);
  sample.line_pressure[0] = sample.line_pressure[1] = Real(0.0);
  if (st.plant.pressure_entry) {
    sample.line_pressure[0] = input_at<Real>(job, kFrontLinePressure, tick);
    sample.line_pressure[1] = input_at<Real>(job, kRearLinePressure, tick);
  }
  if (st.driver.follows) sample.followed_speed = input_at<Real>(job, kFollowedSpeed, tick);
  auto input = driver::drive(p.driver, sample, s.plant.speed);
  if (st.driver.follows) driver::follow(p.follow, tick, sample, s.plant.speed, s.driver, input);
  if (st.driver.steers)
    input.steering = evaluate(p.steering.angle, st.driver.steering_segments, s.plant.distance);
  auto faults = fault::effects_at(p.fault, st.fault, st.plant.disturbed, Real(double(tick)), s.fault);
  if (st.fault.accelerator || st.control.feels_accelerator())
    driver::press_accelerator(p.driver, faults.accelerator, input);
  auto frame = plant::read_sensors(p.plant, s.constants, st.fault.sensors, input, faults, seen, s.sensors);
  if (st.control.feels_deceleration)
    frame.longitudinal_acceleration = plant::read_acceleration(
        p.plant.sensor, s.constants, seen.deceleration,
        evaluate(p.plant.road.grade, st.plant.grade_segments, s.plant.distance), faults.acceleration_offset);
  for (int a = 0; a < signal::kAxles; ++a)
    frame.motor_braking[a] =
        st.plant.motors ? plant::braking_on_demand(p.plant.motor[a], s.constants.axle[a], input.coasting,
                                                   s.plant.speed, seen.motor_torque[a])
                        : Real(0.0);
  if (st.plant.request_bus) plant::cross_bus(p.plant.sensor, tick, faults, frame, s.bus);
  const auto command = control::step_control(p.control, st.control, frame, s.control, control);
  if (st.control.overlaps) driver::cut_accelerator(command.accelerator_share, input);
  // A controller that is out leaves its actuators as dead as a fault of their own would.
  if (st.control.powers_up && st.plant.disturbed)
    for (int a = 0; a < signal::kAxles; ++a) faults.dead[a] = max(faults.dead[a], 1.0 - command.awake);
  signal::ActuatorCommand<Real> arrived = command;
  for (int a = 0; a < signal::kAxles; ++a)
    arrived.pressure[a] = delay(tick, command.pressure[a], s.dead_time[a]);
  if (st.plant.wheel_valves)
    for (int w = 0; w < signal::kWheels; ++w)
      arrived.wheel_pressure[w] = delay(tick, command.wheel_pressure[w], s.wheel_dead_time[w]);
  plant::step_plant(p.plant, s.constants, st.plant, input, arrived, faults, s.plant, seen);
  measure::TickReference<Real> ref;
  ref.front_demand = input_at<Real>(job, kReferenceFront, tick + 1);
  ref.recorded_deceleration = input_at<Real>(job, kRecordedDeceleration, tick + 1);
  ref.recorded_pressure = input_at<Real>(job, kRecordedPressure, tick + 1);
  ref.traction = input.traction;
  const double settle_ticks = kSettleSeconds / st.plant.tick_s;
  measure::fold(p.fold, Real(double(tick + 1)), settle_ticks, st.plant.motors, ref, seen, control, s.folds);
  if (st.driver.follows)
    measure::fold_driver(s.driver.effort, s.driver.braking, input_at<Real>(job, kFollowedSpeed, tick + 1),
                         seen.speed, s.folds.driver);
  if (st.feel)
    measure::fold_feel(p.feel, Real(double(tick + 1)), max(input.hand_travel, input.pedal_force),
                       measure::braking_deceleration(p.feel, seen), s.folds.feel);
  if (job.stint)
    fold_stint(p, s.constants, Real(double(tick + 1)), st.plant.tick_s, settle_ticks, ref.front_demand, input,
               s.plant, seen, s.folds, s.stint);
}

template <class Real>
inline void harvest_leg(const ReplayState<Real>& s, const signal::PlantSignals<Real>& seen, int k,
                        const LaneJob& lane) {
  Kept<Real> kept;
  keep(s.plant, s.sensors, s.control, seen, kept);
  take_lane(kept, k, lane.to->value);
  take_lane(s.stint, k, *lane.stint);
}

template <class Real>
inline void run(const BatchJob& job) {
  ReplayParams<Real> p;
  ReplayState<Real> s;
  signal::PlantSignals<Real> seen;
  signal::ControlSignals<Real> control;
  gather_params(job, p);
  start(job, p, s, seen);
  unsigned running = (1u << job.lanes) - 1;
  const Real standing_from = p.fold.onset_tick + 1.0;
  for (long tick = 0; running != 0; ++tick) {
    if (tick % kStopTicks == 0 && job.stop && job.stop(job.stop_context)) return;
    step(job, p, tick, s, seen, control);
    if constexpr (Traits<Real>::lanes == 1)
      if (job.lane[0].trace) write_row(job, tick, p, s.driver, seen, control, job.lane[0].trace);
    const Real now = Real(double(tick + 1));
    const auto stands =
        (p.ends_standing > Real(0.5)) & (now > standing_from) & (seen.speed <= Real(measure::kStandstill));
    const auto over = stands | (now >= p.last_tick) | (s.folds.sound < Real(0.5));
    if (!any(over)) continue;
    const Real ended = select(over, Real(1.0), Real(0.0));
    for (int k = 0; k < job.lanes; ++k)
      if ((running >> k & 1u) && get(ended, k) > 0.5) {
        take_lane(s.folds, k, *job.lane[k].folds);
        if (job.stint) harvest_leg(s, seen, k, job.lane[k]);
        running &= ~(1u << k);
      }
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::replay
