// What the engine keeps of a launch from standstill and of braking with motors. Part of the folds of a
// replay.
#pragma once

namespace brakeward::measure {

template <class Real>
struct LaunchFolds {
  Real launched_tick;  // the driver drives on from standstill; negative until then
  Real released_tick;  // from then on neither circuit has pressure; negative until then
  Real drag;           // W ticks, of the brakes against a driver who drives on
};

template <class Real>
struct BlendFolds {
  Real error_square[2];  // Pa^2 ticks, per axle while the driver brakes
  Real recovered;        // J
};

}  // namespace brakeward::measure
