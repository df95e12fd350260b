// One row of a trace, in the order of signal/observables.h. Kernel: included by engine translation units
// only.
#pragma once

#include "math/kernel.inl.h"
#include "model/driver/driver.inl.h"
#include "replay/engine.h"
#include "signal/observables.h"

namespace brakeward::replay {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
inline void write_row(const BatchJob& job, long tick, const ReplayParams<Real>& params,
                      const driver::DriverState<Real>& driver, const signal::PlantSignals<Real>& p,
                      const signal::ControlSignals<Real>& c, double* trace) {
  constexpr double kPerBar = 1e-5;
  const LaneJob& lane = job.lane[0];
  const long now = tick + 1 < lane.samples ? tick + 1 : lane.samples - 1;
  double* row = trace + tick * signal::kObservableCount;
  int i = 0;
  const auto put = [&](double value) { row[i++] = value; };
  const auto one = [](const Real& x) { return get(x, 0); };
  put(double(tick + 1) * job.structure.plant.tick_s);
  if (job.structure.driver.follows) {
    const bool by_pedal = one(params.follow.by_pedal) > 0.5;
    put(by_pedal ? 0 : one(driver.effort) * 1e3);
    put(by_pedal ? one(driver.effort) : 0);
  } else {
    put(lane.input[kHandTravel][now] * 1e3);
    put(lane.input[kPedalForce][now]);
  }
  put(lane.input[kReferenceFront][now] * kPerBar);
  put(one(c.demand) * kPerBar);
  put(one(c.target[0]) * kPerBar);
  put(one(c.target[1]) * kPerBar);
  put(one(p.pressure[0]) * kPerBar);
  put(one(p.pressure[1]) * kPerBar);
  put(one(c.state));
  put(one(p.speed));
  put(one(p.distance));
  put(one(p.deceleration));
  for (int w = 0; w < signal::kWheels; ++w) put(one(p.brake_slip[w]));
  for (int w = 0; w < signal::kWheels; ++w) put(one(p.wheel_load[w]));
  put(one(p.brake_torque[signal::kFrontLeft]));
  put(one(p.brake_torque[signal::kRearLeft]));
  put(one(p.disc[signal::kFrontLeft]));
  put(one(p.disc[signal::kRearLeft]));
  put(one(p.fluid[signal::kFrontLeft]));
  put(one(p.fluid[signal::kRearLeft]));
  for (const int w : {signal::kFrontLeft, signal::kRearLeft}) put(one(p.gas[w]) * 1e6);
  for (const int w : {signal::kFrontLeft, signal::kRearLeft}) put(one(p.pad_worn[w]) * 1e9);
  put(one(p.winding[signal::kFront]));
  put(one(p.winding[signal::kRear]));
  put(one(p.pedal_travel) * 1e3);
  put(one(c.slip_factor[0]));
  put(one(c.slip_factor[1]));
  put(one(c.reference_speed));
  put(one(p.lateral_unmet));
  put(one(p.yaw_unmet));
  int lifted = 0;
  for (int w = 0; w < signal::kWheels; ++w) lifted += one(p.wheel_load[w]) > 0 ? 0 : 1;
  put(lifted);
  for (int a = 0; a < signal::kAxles; ++a) put(one(p.motor_torque[a]));
  put(one(p.battery_charge) * 1e2);
  put(one(p.energy_recovered) * 1e-3);
  put(lane.input[kRecordedDeceleration][now]);
  put(lane.input[kRecordedPressure][now] * kPerBar);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::replay
