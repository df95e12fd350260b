#include "generator/drives.h"

namespace brakeward::generator {
namespace {

Drive session() {
  Drive d{"saltmarsh_session", "saltmarsh_dry_100", 200, {}};
  d.applications.push_back(stop(100, Control::kHand, 22.5, 0.22));
  Application second = stop(100, Control::kPedal, 315, 0.25);
  second.wait_s = 20;
  d.applications.push_back(second);
  return d;
}

Drive snubs() {
  Drive d{"corrie_snubs", "corrie_snubs", 100, {}};
  d.applications.push_back({110, 1.5, Control::kHand, 21, 0.25, 1.2, 0.3});
  d.applications.push_back({105, 9, Control::kHand, 19.5, 0.22, 1.3, 0.3});
  d.applications.push_back({110, 10, Control::kHand, 22, 0.2, 1.1, 0.3});
  d.applications.push_back({100, 8, Control::kHand, 20, 0.25, 1.4, 0.35});
  return d;
}

Drive stabs() {
  Drive d{"millrace_stabs", "millrace_stabs", 500, {}};
  const double level[] = {17, 20, 15, 21, 18};
  for (double mm : level) {
    const bool first = d.applications.empty();
    d.applications.push_back({90, first ? 1.0 : 0.7, Control::kHand, mm, 0.11, 0.12, 0.12});
  }
  return d;
}

// The line of track A is opened with a switch box at the onset of the first application and closed during it.
Drive open_track() {
  Drive d{"millrace_open_track", "millrace_open_track", 200, {}};
  d.applications.push_back({110, 1.5, Control::kHand, 20, 0.25, 1.7, 0.25});
  d.applications.push_back({80, 5.0, Control::kHand, 20, 0.25, 1.2, 0.25});
  return d;
}

// The switch box adds a voltage to track B while the control is held: the hand request is lost.
Drive lost_request() {
  Drive d{"millrace_lost_request", "millrace_lost_request", 200, {}};
  d.applications.push_back({110, 1.5, Control::kHand, 20, 0.25, 1.3, 0.25});
  d.applications.push_back({95, 4.0, Control::kHand, 20, 0.25, 1.2, 0.25});
  return d;
}

Drive downhill() {
  Drive d{"corrie_downhill", "corrie_downhill", 200, {stop(77, Control::kHand, 22, 0.28)}};
  d.logged_grade_g = -0.0896;  // sine of the 9 % fall: a car at rest nose down reads less than 0
  return d;
}

std::vector<Drive> make_drives() {
  std::vector<Drive> all;
  all.push_back({"corrie_dry_60", "corrie_dry_60", 200, {stop(60, Control::kHand, 22, 0.2)}});
  all.push_back(session());
  all.push_back({"saltmarsh_dry_140", "saltmarsh_dry_140", 200, {stop(140, Control::kHand, 23, 0.25)}});
  all.push_back({"saltmarsh_wet_80", "saltmarsh_wet_80", 200, {stop(80, Control::kHand, 18, 0.25)}});
  all.push_back({"saltmarsh_wet_100", "saltmarsh_wet_100", 200, {stop(100, Control::kPedal, 250, 0.25)}});
  all.push_back({"millrace_split_80", "millrace_split_80", 200, {stop(80, Control::kHand, 16.5, 0.25)}});
  all.push_back(snubs());
  all.push_back(downhill());
  all.push_back(stabs());
  all.push_back(open_track());
  all.push_back(lost_request());
  return all;
}

}  // namespace

const std::vector<Drive>& sorrel_drives() {
  static const std::vector<Drive> all = make_drives();
  return all;
}

}  // namespace brakeward::generator
