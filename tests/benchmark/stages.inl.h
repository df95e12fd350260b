// Included by one translation unit per instruction set.
#pragma once

#include <benchmark/benchmark.h>

#include <string>
#include <utility>

#include "benchmark/stages.h"
#include "replay/engine.inl.h"

namespace brakeward::benchmark {
inline namespace BRAKEWARD_ISA {

inline constexpr int kStride = 2;       // the sample's sides are alike
inline constexpr long kMidStop = 1200;  // ticks: all lanes brake by then
inline constexpr int kChains = 10;      // hide the latency of a fused multiply-add on two ports
inline constexpr int kLinks = 100;
inline constexpr int kGoOn = 1000;  // ticks; then from the middle again, before anything stands still

// A batch in the middle of its stops.
template <class Real>
struct Stand {
  replay::BatchJob job;
  replay::ReplayParams<Real> p;
  replay::ReplayState<Real> s;
  signal::PlantSignals<Real> seen;
  signal::ControlSignals<Real> control;
  signal::DriverInput<Real> input;
  signal::FaultEffects<Real> faults;
  signal::SensorFrame<Real> frame;
  signal::ActuatorCommand<Real> command;
  plant::WheelLoads<Real> loads;
  plant::TyreForces<Real> tyre;
  plant::WheelTorques<Real> torque;
  plant::PlantState<Real> plant_then;
  control::ControlState<Real> control_then;
  long ticks = 0;

  explicit Stand(const replay::BatchJob& job_in) : job(job_in) {
    replay::gather_params(job, p);
    replay::start(job, p, s, seen);
    for (long tick = 0; tick < kMidStop; ++tick) replay::step(job, p, tick, s, seen, control);
    plant_then = s.plant;
    control_then = s.control;
    driver::DriverSample<Real> sample{};
    sample.hand_travel = replay::input_at<Real>(job, replay::kHandTravel, kMidStop);
    sample.pedal_force = sample.line_pressure[0] = sample.line_pressure[1] = Real(0.0);
    sample.target_speed = Real(-1.0);
    input = driver::drive(p.driver, sample, s.plant.speed);
    faults = fault::effects_at(p.fault, job.structure.fault, false, Real(double(kMidStop)), s.fault);
    frame = plant::read_sensors(p.plant, s.constants, false, input, faults, seen, s.sensors);
    for (Real& each : frame.motor_braking) each = Real(0.0);
    command = control::step_control(p.control, job.structure.control, frame, s.control, control);
    const auto road = plant::road_at<kStride>(p.plant, st(), s.plant.distance);
    const auto mid = plant::foresee<kStride>(s.plant, h());
    loads = plant::wheel_loads(p.plant, s.constants, st(), mid.speed, mid.transfer, road);
    torque = plant::wheel_torques<kStride>(p.plant, s.constants, st(), pressure(), input, s.plant);
    tyre = plant::tyre_forces<kStride>(p.plant, s.constants, st(), mid.slip, loads, road.friction);
  }

  const plant::PlantStructure& st() const { return job.structure.plant; }
  Real h() const { return Real(st().tick_s / st().substeps); }
  const Real (&pressure())[signal::kWheels] {
    for (int w = 0; w < signal::kWheels; ++w) held[w] = s.plant.hydraulics.caliper[w].pressure;
    return held;
  }
  Real held[signal::kWheels];
};

template <class Real, class Stage>
void add(const std::string& name, const replay::BatchJob& job, Stage stage) {
  ::benchmark::RegisterBenchmark(name.c_str(), [job, stage](::benchmark::State& state) {
    Stand<Real> stand(job);
    for (auto _ : state) {
      stage(stand);
      ::benchmark::DoNotOptimize(stand);
      ::benchmark::ClobberMemory();
    }
    state.SetItemsProcessed(state.iterations() * math::Traits<Real>::lanes);
  });
}

template <class Real>
void add_fma(const std::string& name) {
  ::benchmark::RegisterBenchmark(name.c_str(), [](::benchmark::State& state) {
    Real x[kChains];
    for (int i = 0; i < kChains; ++i) x[i] = Real(1.0 + 0.01 * i);
    Real factor = Real(0.999), term = Real(0.001);
    ::benchmark::DoNotOptimize(factor);
    ::benchmark::DoNotOptimize(term);
    for (auto _ : state) {
      for (int link = 0; link < kLinks; ++link) {
        // Written out, so that no compiler turns the loops round and waits for one chain after the other.
        [&]<size_t... I>(std::index_sequence<I...>) {
          ((x[I] = math::fma(x[I], factor, term)), ...);
        }
        (std::make_index_sequence<kChains>());
      }
      for (Real& each : x) ::benchmark::DoNotOptimize(each);
    }
    state.counters["flops"] =
        ::benchmark::Counter(2.0 * kChains * kLinks * math::Traits<Real>::lanes * double(state.iterations()),
                             ::benchmark::Counter::kIsRate);
  });
}

// From the middle again now and then.
template <class Real>
void rewind(Stand<Real>& o) {
  if (++o.ticks % kGoOn != 0) return;
  o.s.plant = o.plant_then;
  o.s.control = o.control_then;
}

// A tick's whole plant, its substeps and its share of the heat.
template <class Real>
void step_car(Stand<Real>& o) {
  rewind(o);
  plant::step_plant(o.p.plant, o.s.constants, o.st(), o.input, o.command, o.faults, o.s.plant, o.seen);
}

// Driver, faults, sensors, controller, plant, measures.
template <class Real>
void step_all(Stand<Real>& o) {
  rewind(o);
  replay::step(o.job, o.p, kMidStop, o.s, o.seen, o.control);
}

template <class Real>
void add_stages(const std::string& engine, const replay::BatchJob& job) {
  using On = Stand<Real>;
  const auto stage = [&](const char* name, auto what) { add<Real>(engine + "/" + name, job, what); };
  stage("sensors", [](On& o) {
    o.frame = plant::read_sensors(o.p.plant, o.s.constants, false, o.input, o.faults, o.seen, o.s.sensors);
  });
  stage("controller", [](On& o) {
    o.command = control::step_control(o.p.control, o.job.structure.control, o.frame, o.s.control, o.control);
  });
  stage("road_and_loads", [](On& o) {
    const auto road = plant::road_at<kStride>(o.p.plant, o.st(), o.s.plant.distance);
    const auto mid = plant::foresee<kStride>(o.s.plant, o.h());
    o.loads = plant::wheel_loads(o.p.plant, o.s.constants, o.st(), mid.speed, mid.transfer, road);
  });
  stage("hydraulics", [](On& o) {
    plant::step_hydraulics(o.p.plant, o.s.constants, o.st(), o.command, o.faults, o.h(),
                           o.s.plant.hydraulics);
  });
  stage("pads", [](On& o) {
    o.torque =
        plant::wheel_torques<kStride>(o.p.plant, o.s.constants, o.st(), o.pressure(), o.input, o.s.plant);
  });
  stage("tyres", [](On& o) {
    const Real friction[signal::kWheels] = {Real(1.0), Real(1.0), Real(1.0), Real(1.0)};
    o.tyre = plant::tyre_forces<kStride>(o.p.plant, o.s.constants, o.st(), o.s.plant.slip, o.loads, friction);
  });
  stage("wheels", [](On& o) {
    plant::step_wheels<kStride>(o.p.plant, o.s.constants, o.st(), o.tyre, o.loads.load, o.torque,
                                o.s.plant.speed, o.h(), o.s.plant, o.seen.contact_force);
  });
  stage("body", [](On& o) {
    plant::step_body(o.p.plant, o.s.constants, o.seen.contact_force[0], Real(0.0), o.s.plant.speed, o.h(),
                     o.s.plant);
  });
  stage("heat", [](On& o) { plant::move_heat<kStride>(o.p.plant, o.s.constants, o.st(), o.s.plant); });
  stage("measures", [](On& o) {
    measure::TickReference<Real> ref;
    ref.front_demand = Real(40e5);
    ref.recorded_deceleration = ref.recorded_pressure = Real(measure::kNotRecorded);
    ref.traction = Real(0.0);
    measure::fold(o.p.fold, Real(double(kMidStop)), 500, false, ref, o.seen, o.control, o.s.folds);
  });
  stage("plant", step_car<Real>);
  stage("tick", step_all<Real>);
  replay::BatchJob apart = job;
  apart.structure.plant.sides_alike = false;
  add<Real>(engine + "/plant, sides apart", apart, step_car<Real>);
  add<Real>(engine + "/tick, sides apart", apart, step_all<Real>);
  add_fma<Real>(engine + "/fma");
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::benchmark
