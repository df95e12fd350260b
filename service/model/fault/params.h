// What goes wrong, and when.
#pragma once

#include "signal/ports.h"

namespace brakeward::fault {

// Between start and end (ticks, start inclusive): volts' = gain x volts + offset + noise, or the voltage
// before the start.
template <class Real>
struct TrackFault {
  Real start_tick, end_tick;
  Real gain;
  Real offset;  // V
  Real noise;   // V, greatest size
  Real seed;    // of the noise: an integer from 1 to 2^31 - 2
  Real stuck;   // 1 for the voltage before the start, else 0
};

// Between start and end: added to what a pressure sensor reads, or the value before the start.
template <class Real>
struct PressureFault {
  Real start_tick, end_tick;
  Real offset;          // Pa
  Real drift_per_tick;  // Pa
  Real stuck;           // 1 for the value before the start, else 0
};

// Between start and end (ticks, start inclusive): a value in force.
template <class Real>
struct TimedFault {
  Real start_tick, end_tick;
  Real value;
};

template <class Real>
struct FaultParams {
  TrackFault<Real> hand[signal::kHandTracks];
  TrackFault<Real> pedal;
  PressureFault<Real> pressure[signal::kAxles];
  TimedFault<Real> speed_lost[signal::kWheels];  // value 1
  TimedFault<Real> bus_silent;                   // value 1
  TimedFault<Real> bus_delay;                    // whole ticks
  TimedFault<Real> acceleration_offset;          // m/s^2
  Real pedal_selected;                           // 1 or 0, without a fault
  TimedFault<Real> selector;                     // 0 or 1, what the selector says instead
  TimedFault<Real> supply;                       // V left
  TimedFault<Real> dead[signal::kAxles];         // value 1
  TimedFault<Real> response[signal::kAxles];     // 1, share of the actuator's way in a step that is left
  TimedFault<Real> flow[signal::kAxles];         // 1, share left
  TimedFault<Real> leak[signal::kAxles];         // m^3/(s Pa^0.5)
  Real supply_volts;                             // V without a fault
  TimedFault<Real> accelerator;                  // 1, share of the greatest traction
  Real knock_back_tick[signal::kWheels];         // past the end when there is none
};

}  // namespace brakeward::fault
