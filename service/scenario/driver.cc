#include "scenario/driver.h"

#include <utility>

#include "document/schema.h"

namespace brakeward::scenario {
namespace {

// Time before the request in which the car has to coast for its deceleration without braking to be read.
constexpr double kCoasting_s = 0.5;

class DriverCheck {
 public:
  DriverCheck(const v1::Scenario& s, const v1::Vehicle& v, const std::string& file, document::Faults& faults)
      : s_(s), v_(v), file_(file), faults_(faults) {}

  void run() {
    check_stated();
    if (s_.has_follow()) check_follow();
    if (s_.has_steering()) check_steering();
    if (s_.synthetic().has_fall_s() && s_.synthetic().shape() != v1::SYNTHETIC_SHAPE_RAMP)
      add("synthetic.fall_s", v1::SyntheticShape_Name(s_.synthetic().shape()) +
                                  " has no use for it; take SYNTHETIC_SHAPE_RAMP, or leave it out");
    if (s_.has_synthetic()) check_driving_on();
    if (s_.has_feel()) check_feel();
  }

 private:
  void add(const std::string& at, const std::string& text) { faults_.add({file_, 0, 0, at, text}); }

  void check_driving_on() {
    const v1::SyntheticInput& input = s_.synthetic();
    if (!input.has_drives_on_after_s() || input.drives_on_after_s() < input.after_s()) return;
    add("synthetic.drives_on_after_s", document::with_unit(input.drives_on_after_s(), "s") +
                                           " is not before the replay ends, synthetic.after_s, " +
                                           document::with_unit(input.after_s(), "s"));
  }

  void check_stated() {
    if (!s_.has_stated()) return;
    if (!s_.has_follow())
      add("follow", "unset; a stated speed needs a driver who follows it: give his constants");
    const bool speed = s_.stated().has_speed_kph(), deceleration = s_.stated().has_deceleration_mps2();
    if (speed == deceleration)
      add("stated", speed ? "gives speed_kph and deceleration_mps2; keep one"
                          : "gives neither speed_kph nor deceleration_mps2; give one");
    if (deceleration && !s_.has_initial_speed_kph())
      add("initial_speed_kph", "unset; a stated deceleration needs it");
  }

  void check_follow() {
    const v1::FollowingDriver& f = s_.follow();
    if (s_.has_synthetic())
      add("follow",
          "the input is a generated request, which has no speed to follow; take a recorded or a "
          "stated one, or leave this out");
    if (s_.entry_point() == v1::ENTRY_POINT_PRESSURE)
      add("follow",
          "the scenario is replayed from line pressure, where no driver has a part; take "
          "ENTRY_POINT_REQUEST, or leave this out");
    const bool hand = f.control() == v1::REQUEST_CONTROL_HAND,
               pedal = f.control() == v1::REQUEST_CONTROL_PEDAL;
    const auto want = [&](bool of_control, bool given, const char* field) {
      if (of_control && !given)
        add(std::string("follow.") + field, "unset; a driver with this control needs it");
      if (!of_control && given)
        add(std::string("follow.") + field,
            v1::RequestControl_Name(f.control()) + " has no use for it; leave it out");
    };
    want(hand, f.has_travel_mm_per_mps2(), "travel_mm_per_mps2");
    want(pedal, f.has_force_n_per_mps2(), "force_n_per_mps2");
    want(pedal, f.has_force_limit_n(), "force_limit_n");
    if (pedal && f.has_travel_limit_mm()) want(false, true, "travel_limit_mm");
    if (pedal && f.travel_mm() != 0) want(false, true, "travel_mm");
    if (hand && f.force_n() != 0) want(false, true, "force_n");
    const double stop = v_.sensors().hand_travel_limit_mm();
    if (f.travel_limit_mm() > stop)
      add("follow.travel_limit_mm", document::with_unit(f.travel_limit_mm(), "mm") +
                                        "; the control's stop is at " + document::with_unit(stop, "mm") +
                                        " (sensors.hand_travel_limit_mm), so give at most that");
  }

  void check_steering() {
    if (!v_.sensors().has_hand_shift_mm_per_degree())
      add("steering", "has no effect, because vehicle \"" + v_.name() +
                          "\" has no sensors.hand_shift_mm_per_degree; set it in the vehicle document, or "
                          "leave this out");
    if (s_.steering().has_angle_degrees()) return;
    if (!s_.road().has_path_curvature())
      add("steering.angle_degrees",
          "unset, and the road is straight; give the angle, or road.path_curvature");
    if (!v_.chassis().has_steering_ratio())
      add("steering.angle_degrees", "unset, and vehicle \"" + v_.name() +
                                        "\" has no chassis.steering_ratio to work it out from the road's "
                                        "path; give one of them");
  }

  void check_feel() {
    const v1::SyntheticInput& input = s_.synthetic();
    if (s_.entry_point() == v1::ENTRY_POINT_PRESSURE)
      add("feel",
          "the scenario is replayed from line pressure, where no control is moved; take "
          "ENTRY_POINT_REQUEST, or leave this out");
    if (!s_.has_synthetic() || input.shape() != v1::SYNTHETIC_SHAPE_RAMP)
      return add("feel", "is read off a synthetic SYNTHETIC_SHAPE_RAMP; take one, or leave this out");
    if (input.rise_s() <= 0) add("synthetic.rise_s", "0 s; feel is read off a slow rise: give a longer one");
    if (input.fall_s() <= 0)
      add("synthetic.fall_s", std::string(input.has_fall_s() ? "0 s" : "unset") +
                                  "; feel is read off a slow fall: give a longer one");
    if (input.onset_s() < kCoasting_s)
      add("synthetic.onset_s", document::with_unit(input.onset_s(), "s") +
                                   "; the car coasts before for feel to be read: use a value from 0.5 s on");
    if (s_.feel().has_pedal_force_n() && input.control() == v1::REQUEST_CONTROL_PEDAL)
      add("feel.pedal_force_n",
          "the input moves the pedal itself; take REQUEST_CONTROL_HAND, or leave this "
          "out");
  }

  const v1::Scenario& s_;
  const v1::Vehicle& v_;
  const std::string& file_;
  document::Faults& faults_;
};

}  // namespace

void check_driver(const v1::Scenario& s, const v1::Vehicle& v, const std::string& file,
                  document::Faults& faults) {
  DriverCheck(s, v, file, faults).run();
}

void check_compensation(const v1::Calibration& c, const v1::Vehicle& v, const std::string& file,
                        document::Faults& faults) {
  if (!c.hand_control().has_steering_compensation_mm_per_degree() ||
      v.sensors().has_hand_shift_mm_per_degree())
    return;
  faults.add({file, 0, 0, "hand_control.steering_compensation_mm_per_degree",
              "has nothing to take off, because vehicle \"" + v.name() +
                  "\" has no sensors.hand_shift_mm_per_degree; set it in the vehicle document, or leave this "
                  "out"});
}

}  // namespace brakeward::scenario
