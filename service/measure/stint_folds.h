// What the engine keeps of one leg of a stint besides the folds of any replay: heat beyond the discs,
// boiling, wear, work, the driver's effort, the actuators' load and the selector's change-over.
#pragma once

namespace brakeward::measure {

template <class Real>
struct StintFolds {
  Real peak_pad[2], peak_caliper[2], peak_fluid[2];  // degC, of the axle's hotter wheel
  Real least_boiling_margin;  // K, at the start of an application; kNoMargin without one
  Real friction_work[4];      // J
  Real hand_effort;           // m of travel, sum over the ticks
  Real pedal_effort;          // N, sum over the ticks
  Real unasked_work;          // J of all brakes while nobody has asked for 0.5 s
  Real worn[4];               // m^3 at the end, since the start of the stint
  Real peak_winding[2];       // degC
  Real load_square[2];        // ticks, of pressure over stall pressure squared
  Real derated_ticks;         // with an actuator's strength reduced by heat
  Real mean_pressure;         // Pa, front circuit, first-order mean
  Real jump;                  // Pa, greatest lead over that mean since the selector changed
  Real short_tick;      // last tick since then with less front pressure than asked for; negative without
  Real braking;         // 1 while the reference demand is there, else 0
  Real wheel_speed[4];  // rad/s, of the tick before
};

// Where no application began.
inline constexpr double kNoMargin = 1e9;  // K
// Time of the mean that the jump of a change-over is a lead over.
inline constexpr double kJumpMean = 0.1;  // s
// Front pressure below this share of what is asked for counts as short.
inline constexpr double kShortShare = 0.9;

}  // namespace brakeward::measure
