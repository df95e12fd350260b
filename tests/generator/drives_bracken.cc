#include "generator/drives.h"

namespace brakeward::generator {
namespace {

constexpr double kVanAcceleration = 1.2;  // m/s^2

Drive van(std::string_view name, std::string_view scenario, int rate_hz = 200) {
  Drive d{name, scenario, rate_hz, {}};
  d.acceleration_mps2 = kVanAcceleration;
  return d;
}

Drive single(std::string_view name, const Application& application) {
  Drive d = van(name, name);
  d.applications.push_back(application);
  return d;
}

// A hand stop and a pedal stop from the same speed.
Drive pair(std::string_view name, std::string_view scenario, const Application& hand, Application pedal,
           double wait_s) {
  Drive d = van(name, scenario);
  pedal.wait_s = wait_s;
  d.applications = {hand, pedal};
  return d;
}

Drive downhill() {
  Drive d = single("fellgate_downhill", stop(66, Control::kHand, 34, 0.35));
  d.logged_grade_g = -0.0995;  // sine of the 10 % fall: a car at rest nose down reads less than 0
  return d;
}

// Up to four doors of a round: slowed to a crawl, then on.
Drive round() {
  Drive d = van("alder_round", "alder_round", 100);
  d.applications.push_back({50, 1.5, Control::kHand, 23, 0.35, 2.1, 0.4});
  d.applications.push_back({45, 10.5, Control::kHand, 21, 0.4, 2.0, 0.4});
  d.applications.push_back({40, 9, Control::kHand, 20, 0.4, 1.8, 0.45});
  d.applications.push_back({50, 11.5, Control::kHand, 22, 0.35, 2.2, 0.4});
  return d;
}

// Parking: five dabs at walking speed.
Drive stabs() {
  Drive d = van("yard_stabs", "yard_stabs", 500);
  const double speed_kph[] = {5, 5.5, 5, 5.5, 5}, level[] = {13, 14, 15, 16, 15};
  for (int i = 0; i < 5; ++i)
    d.applications.push_back({speed_kph[i], i == 0 ? 1.0 : 1.8, Control::kHand, level[i], 0.14, 0.12, 0.14});
  return d;
}

// A switch box adds a voltage to track B while the control is held: the hand request is lost.
Drive track_offset() {
  Drive d = van("yard_track_offset", "yard_track_offset");
  d.applications.push_back({60, 1.5, Control::kHand, 24, 0.25, 1.3, 0.3});
  d.applications.push_back({50, 4.0, Control::kHand, 24, 0.25, 1.2, 0.3});
  return d;
}

// The plug of the hand control is pulled while it is held; the co-driver takes over with the pedal. Then it
// is put back.
Drive lost_request() {
  Drive d = van("yard_lost_request", "yard_lost_request");
  d.applications.push_back({60, 1.5, Control::kHand, 24, 0.25, 1.0, 0.3});
  d.applications.push_back({60, 0.32, Control::kPedal, 160, 0.25, 1.0, 0.3});
  d.applications.push_back({45, 5.0, Control::kHand, 24, 0.25, 1.2, 0.3});
  return d;
}

std::vector<Drive> make_drives() {
  std::vector<Drive> all;
  all.push_back(pair("heron_session_100", "heron_dry_100", stop(100, Control::kHand, 30, 0.3),
                     stop(100, Control::kPedal, 228, 0.3), 26));
  all.push_back(pair("heron_session_50", "heron_dry_50", stop(50, Control::kHand, 28, 0.3),
                     stop(50, Control::kPedal, 200, 0.3), 14));
  all.push_back(single("heron_wet_80", stop(80, Control::kHand, 25, 0.3)));
  all.push_back(single("heron_split_60", stop(60, Control::kPedal, 160, 0.3)));
  all.push_back(single("heron_full_100", stop(100, Control::kPedal, 306, 0.3)));
  all.push_back(downhill());
  all.push_back(round());
  all.push_back(stabs());
  all.push_back(single("yard_glitch", stop(60, Control::kHand, 27, 0.3)));
  all.push_back(track_offset());
  all.push_back(lost_request());
  return all;
}

}  // namespace

const std::vector<Drive>& bracken_drives() {
  static const std::vector<Drive> all = make_drives();
  return all;
}

}  // namespace brakeward::generator
