// What was driven: for each recording the applications of hand control and pedal, in order.
#pragma once

#include <string_view>
#include <vector>

namespace brakeward::generator {

enum class Control { kHand, kPedal };

// One application of the brakes.
struct Application {
  double speed_kph = 0;  // held or regained before it
  double wait_s = 0;     // from the end of the one before (or the start of the log) to its onset
  Control control = Control::kHand;
  double level = 0;   // plateau: mm of the hand control or N of the pedal
  double rise_s = 0;  // onset to plateau
  double hold_s = 0;  // time at the plateau; 0: until a little after standstill
  double fall_s = 0;  // plateau to released
};

// One recording. Road, loads, temperatures and faults are those of a scenario document.
struct Drive {
  std::string_view name;      // of the recording: recordings/NAME.csv
  std::string_view scenario;  // scenarios/NAME.textproto
  int rate_hz = 200;
  std::vector<Application> applications;
  double tail_s = 1;               // logged after the last release
  double logged_grade_g = 0;       // share of gravity the accelerometer sees along the car
  double acceleration_mps2 = 1.6;  // regaining speed between applications
};

// A single application until a little after standstill.
inline Application stop(double speed_kph, Control control, double level, double rise_s) {
  return {speed_kph, 1.5, control, level, rise_s, 0, 0.25};
}

// What was driven with each demo car.
const std::vector<Drive>& sorrel_drives();
const std::vector<Drive>& bracken_drives();

}  // namespace brakeward::generator
