// The folds of a leg of a stint, tick by tick. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "measure/folds.inl.h"
#include "measure/stint_folds.h"
#include "model/plant/plant.inl.h"
#include "replay/plan.h"

namespace brakeward::replay {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
inline void start(const signal::PlantSignals<Real>& seen, measure::StintFolds<Real>& f) {
  Real* field = reinterpret_cast<Real*>(&f);
  for (unsigned i = 0; i < sizeof(f) / sizeof(Real); ++i) field[i] = Real(0.0);
  for (int a = 0; a < signal::kAxles; ++a)
    f.peak_pad[a] = f.peak_caliper[a] = f.peak_fluid[a] = f.peak_winding[a] = Real(-1e9);
  f.least_boiling_margin = Real(measure::kNoMargin);
  f.short_tick = Real(-1.0);
  f.mean_pressure = seen.pressure[signal::kFront];
  for (int w = 0; w < signal::kWheels; ++w) f.wheel_speed[w] = seen.wheel_speed[w];
}

// Temperatures, wear and friction work. Work is torque times the mean of the wheel's speed before and after
// the tick, which is what the wheel brake's heat is made of.
template <class Real>
inline void fold_brakes(const plant::PlantState<Real>& car, const signal::PlantSignals<Real>& p, Real tick_s,
                        Mask<Real> unasked, measure::StintFolds<Real>& f) {
  using Chain = plant::HeatChain<>;
  Real work[signal::kWheels];
  for (int w = 0; w < signal::kWheels; ++w) {
    const int a = signal::axle_of(w);
    f.peak_pad[a] = max(f.peak_pad[a], car.heat[w].node[Chain::kPad]);
    f.peak_fluid[a] = max(f.peak_fluid[a], car.heat[w].node[Chain::kFluid]);
    f.peak_caliper[a] = max(f.peak_caliper[a], car.heat[w].node[Chain::kCaliper]);
    f.worn[w] = car.pad[w].worn;
    work[w] = (0.5 * tick_s) * p.brake_torque[w] * abs(f.wheel_speed[w] + p.wheel_speed[w]);
    f.friction_work[w] = f.friction_work[w] + work[w];
    f.wheel_speed[w] = p.wheel_speed[w];
  }
  const Real all = (work[0] + work[1]) + (work[2] + work[3]);
  f.unasked_work = f.unasked_work + select(unasked, all, Real(0.0));
}

template <class Real>
inline void fold_actuators(const ReplayParams<Real>& k, const plant::PlantConstants<Real>& constants,
                           const plant::PlantState<Real>& car, measure::StintFolds<Real>& f) {
  auto derated = Mask<Real>(false);
  for (int a = 0; a < signal::kAxles; ++a) {
    const plant::ActuatorParams<Real>& act = k.plant.actuator[a];
    const Real winding = car.hydraulics.actuator[a].winding;
    const Real load = car.hydraulics.actuator[a].pressure * constants.axle[a].per_stall;
    f.peak_winding[a] = max(f.peak_winding[a], winding);
    f.load_square[a] = fma(load, load, f.load_square[a]);
    derated = derated | ((act.derating_per_kelvin > Real(0.0)) & (winding > act.derating_from));
  }
  f.derated_ticks = f.derated_ticks + select(derated, Real(1.0), Real(0.0));
}

// One tick; after the folds of any replay, whose count of ticks without a request it reads.
template <class Real>
inline void fold_stint(const ReplayParams<Real>& k, const plant::PlantConstants<Real>& constants, Real tick,
                       double tick_s, double settle_ticks, Real front_demand,
                       const signal::DriverInput<Real>& driver, const plant::PlantState<Real>& car,
                       const signal::PlantSignals<Real>& p, const measure::Folds<Real>& folds,
                       measure::StintFolds<Real>& f) {
  fold_brakes(car, p, Real(tick_s), folds.released_ticks > Real(settle_ticks), f);
  fold_actuators(k, constants, car, f);
  f.hand_effort = f.hand_effort + driver.hand_travel;
  f.pedal_effort = f.pedal_effort + driver.pedal_force;
  const auto braking = front_demand > Real(measure::kReferenceBraking);
  const auto begins = braking & (f.braking < Real(0.5));
  f.braking = select(braking, Real(1.0), Real(0.0));
  if (any(begins)) {
    Real margin = f.least_boiling_margin;
    for (int w = 0; w < signal::kWheels; ++w)
      margin = min(margin, k.plant.brake[signal::axle_of(w)].boiling - p.fluid[w]);
    f.least_boiling_margin = select(begins, margin, f.least_boiling_margin);
  }
  const Real front = p.pressure[signal::kFront];
  f.mean_pressure = fma(Real(tick_s / measure::kJumpMean), front - f.mean_pressure, f.mean_pressure);
  const auto changed = tick > k.fault.selector.start_tick;
  f.jump = max(f.jump, select(changed, front - f.mean_pressure, Real(0.0)));
  const auto lacks = changed & (front < measure::kShortShare * front_demand);
  f.short_tick = select(lacks, tick, f.short_tick);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::replay
