// Documents the tests of this folder start from. All values are invented.
#pragma once

#include <google/protobuf/message.h>

#include <memory>
#include <ostream>
#include <string>

#include "document/document.h"

namespace brakeward::document {

// A good calibration; the tests refer to its lines.
inline const char kCalibration[] = R"(# proto-file: brakeward/v1/calibration.proto
# proto-message: brakeward.v1.Calibration

name: "soft"
vehicle: "invented car"
hand_control {
  track_a { zero_volts: 0.5 mm_per_volt: 10 }
  track_b { zero_volts: 4.5 mm_per_volt: -10 }
  dead_band_mm: 1.5
  low_pass_hz: 30
  effort_grades {
    name: "dry"
    feel {
      points { x: 0 y: 0 }
      points { x: 20 y: 40 }
      points { x: 40 y: 100 }
    }
  }
  effort_grades {
    name: "wet"
    feel { points: [{ x: 0 y: 0 }, { x: 40 y: 60 }] }
  }
  effort_grade: "dry"
}
pedal {
  zero_volts: 0.5
  n_per_volt: 300
  dead_band_n: 15
  low_pass_hz: 40
  feel { points { x: 0 y: 0 } points { x: 1000 y: 90 } }
}
balance {
  steps { name: "0" front_percent: 62 }
  steps { name: "+2" front_percent: 64 }
  step: "0"
  speed_trim { points { x: 0 y: 0 } points { x: 200 y: -1 } }
}
pressure_control {
  rise_limit_bar_per_s: 600
  fall_limit_bar_per_s: 900
  demand_limit_bar: 100
  proportional_gain: 0.3
  integral_gain_per_s: 2
  integral_limit_bar: 10
}
slip_limit {
  front {
    release_slip_percent: 14
    reapply_slip_percent: 8
    release_rate_per_s: 8
    reapply_rate_per_s: 2
    least_factor_percent: 10
  }
  rear {
    release_slip_percent: 14
    reapply_slip_percent: 8
    release_rate_per_s: 8
    reapply_rate_per_s: 2
    least_factor_percent: 10
  }
  off_below_kph: 8
  reference_change_mps2: 12
}
supervision {
  volts_minimum: 0.25
  volts_maximum: 4.75
  track_difference_mm: 2.5
  fault_debounce_ms: 60
  rearm_plausible_ms: 300
  rearm_released_ms: 200
  released_below_mm: 1
  limited_demand_percent: 100
}
)";

// Makes failures of gtest readable.
inline void PrintTo(const Fault& fault, std::ostream* out) {
  *out << render(fault);
}

// `text` with the first `from` replaced; the test fails at once when it is not there.
std::string replaced(std::string text, const std::string& from, const std::string& to);

std::unique_ptr<google::protobuf::Message> new_message(const google::protobuf::Descriptor* type);

// Every field of the message and its blocks set, lists with two items, numbers inside their range and, where
// the range allows, different from the default.
void fill(google::protobuf::Message* message);

}  // namespace brakeward::document
