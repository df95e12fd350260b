// What goes wrong, and when.
#pragma once

#include "signal/ports.h"

namespace brakeward::fault {

// Between start and end (ticks, start inclusive): volts' = gain x volts + offset.
template <class Real>
struct TrackFault {
  Real start_tick, end_tick;
  Real gain;
  Real offset;  // V
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
  TimedFault<Real> supply;                // V left
  TimedFault<Real> dead[signal::kAxles];  // value 1
  TimedFault<Real> leak[signal::kAxles];  // m^3/(s Pa^0.5)
  Real supply_volts;                      // V without a fault
  Real knock_back_tick[signal::kWheels];  // past the end when there is none
};

}  // namespace brakeward::fault
