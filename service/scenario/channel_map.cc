#include <sstream>

#include "recording/columns.h"
#include "scenario/library.h"

namespace brakeward::scenario {
namespace {

recording::Signal signal_of(v1::RecordedSignal s) {
  using recording::Signal;
  switch (s) {
    case v1::RECORDED_SIGNAL_HAND_TRAVEL:
      return Signal::kHandTravel;
    case v1::RECORDED_SIGNAL_PEDAL_FORCE:
      return Signal::kPedalForce;
    case v1::RECORDED_SIGNAL_FRONT_PRESSURE:
      return Signal::kFrontPressure;
    case v1::RECORDED_SIGNAL_REAR_PRESSURE:
      return Signal::kRearPressure;
    case v1::RECORDED_SIGNAL_SPEED:
      return Signal::kSpeed;
    case v1::RECORDED_SIGNAL_DECELERATION:
      return Signal::kDeceleration;
    case v1::RECORDED_SIGNAL_LATERAL_ACCELERATION:
      return Signal::kLateralAcceleration;
    case v1::RECORDED_SIGNAL_WHEEL_SPEED_FRONT_LEFT:
      return Signal::kWheelSpeedFrontLeft;
    case v1::RECORDED_SIGNAL_WHEEL_SPEED_FRONT_RIGHT:
      return Signal::kWheelSpeedFrontRight;
    case v1::RECORDED_SIGNAL_WHEEL_SPEED_REAR_LEFT:
      return Signal::kWheelSpeedRearLeft;
    case v1::RECORDED_SIGNAL_WHEEL_SPEED_REAR_RIGHT:
      return Signal::kWheelSpeedRearRight;
    case v1::RECORDED_SIGNAL_FRONT_DISC_TEMPERATURE:
      return Signal::kFrontDiscTemperature;
    case v1::RECORDED_SIGNAL_REAR_DISC_TEMPERATURE:
      return Signal::kRearDiscTemperature;
    case v1::RECORDED_SIGNAL_ACCELERATOR:
      return Signal::kAccelerator;
    case v1::RECORDED_SIGNAL_STEERING_ANGLE:
      return Signal::kSteeringAngle;
    default:
      return Signal::kCount;
  }
}

}  // namespace

recording::ChannelMap channel_map_of(const v1::ChannelMap& map) {
  recording::ChannelMap out;
  out.time_column = map.time_column();
  out.time_unit = map.time_unit();
  out.delimiter = map.delimiter();
  out.header_prefix = map.header_prefix();
  out.longest_gap_s = map.longest_gap_ms() * 1e-3;
  for (const v1::Channel& c : map.channels())
    out.channels.push_back(
        {signal_of(c.signal()), c.column(), c.unit(), c.scale(), c.offset(), c.delay_ms() * 1e-3});
  return out;
}

void check_channel_map(const v1::ChannelMap& map, const std::string& file, const std::string& at,
                       document::Faults& faults) {
  recording::Findings findings(file);
  recording::check_map(channel_map_of(map), findings);
  const absl::Status status = findings.status();
  std::istringstream lines{std::string(status.message())};
  for (std::string line; std::getline(lines, line);)
    faults.add({file, 0, 0, at, line.substr(file.size() + 2)});  // each line begins "FILE: "
}

}  // namespace brakeward::scenario
