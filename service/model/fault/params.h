// What goes wrong with the hand control's tracks, and when.
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

template <class Real>
struct FaultParams {
  TrackFault<Real> hand[signal::kHandTracks];
};

}  // namespace brakeward::fault
