// A complete, invented car and controller in SI units, and replays of it made by hand, for the tests that
// need a plan without documents. Every number is invented and of the size usual for a touring car.
#pragma once

#include <initializer_list>

#include "measure/measures.h"
#include "model/plant/heat_mesh.h"
#include "replay/plan.h"

namespace brakeward::reference {

struct CurvePoint {
  double x, y;
};
// Raises *segments where this curve has more.
math::Curve<double> curve(std::initializer_list<CurvePoint> points, int* segments);

// The heat of one of the car's brakes.
plant::BrakeHeat sample_heat(double disc_mass);

struct SampleOptions {
  double tick_s = 0.001;
  int substeps = 1;
  double start_speed = 30;     // m/s
  double travel = 0.030;       // m, the hand control is moved there
  double onset_s = 0.2;        // from then on
  double rise_s = 0.15;        // within this time
  double release_s = 1e9;      // and let go at once here
  double length_s = 12;        // at most
  double road_friction = 1.0;  // factor, both sides
  double grade = 0;            // rise over run
  bool limit_slip = true;
  bool ends_standing = true;
};

// A hand stop of the sample car, measured like a compiled one: reference demand, pressure levels, onset.
replay::ReplayPlan sample_plan(const SampleOptions& options = {});

// What measures of such a plan need to know: onset, and when its reference demand passes the levels.
measure::MeasureContext sample_context(const SampleOptions& options, const replay::ReplayPlan& plan);

// Puts a request bus of 10 ms with 2 ms delay into the plan, makes every check of the supervision and lets
// sensors fail.
void supervise(double tick_s, replay::ReplayPlan& plan);

// Lets the controller of the plan hold the car at standstill, overrule the accelerator beside the brake and
// restart after a supply dip; the accelerator may be pressed. After `supervise`.
void equip(double tick_s, replay::ReplayPlan& plan);

// The same car with recorded line pressure on the calipers: `front` and `rear` Pa after a linear rise.
replay::ReplayPlan sample_pressure_plan(const SampleOptions& options, double front, double rear);

// Sets one friction factor on both sides, or one a side.
void set_friction(double left, double right, replay::ReplayPlan& plan);

}  // namespace brakeward::reference
