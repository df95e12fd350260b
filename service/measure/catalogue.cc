#include "measure/catalogue.h"

namespace brakeward::measure {
namespace {

constexpr std::string_view kPractice = "common practice, no source";
constexpr std::string_view kStop =
    "UN R13-H Annex 3, 1.1.2 (sister text: Directive 71/320/EEC Annex II 1.1.2)";
constexpr auto kV = ChainPoint::kVehicle;
constexpr auto kP = ChainPoint::kPressure;
constexpr auto kR = ChainPoint::kRequest;

constexpr MeasureInfo kCatalogue[] = {
    {"stopping_distance", "m", Worse::kHigher, kV,
     "Distance from onset of the request to standstill (0.05 m/s).", kStop, 2},
    {"corrected_stopping_distance", "m", Worse::kHigher, kV,
     "Stopping distance times the square of nominal over actual speed at onset.",
     "SAE J299 (square law from memory)", 2},
    {"mean_fully_developed_deceleration", "m/s^2", Worse::kLower, kV,
     "Mean over distance between 0.8 and 0.1 of the speed at onset: (vb^2 - ve^2) / (2 (se - sb)).", kStop,
     3},
    {"stopping_time", "s", Worse::kHigher, kV, "Time from onset of the request to standstill.", kPractice, 3},
    {"marker_speed", "m/s", Worse::kHigher, kV,
     "Speed at the scenario's marker, a distance from onset; 0 where the car stands before it.", kPractice,
     3},
    {"peak_deceleration", "m/s^2", Worse::kLower, kV, "Greatest deceleration of a tick after onset.",
     kPractice, 2},
    {"peak_jerk", "m/s^3", Worse::kEither, kV,
     "Greatest change of the deceleration over time, after onset and above 2 m/s, low-passed at 10 Hz.",
     kPractice, 1},
    {"braking_distance", "m", Worse::kHigher, kV, "Distance covered while the driver asks for braking.",
     kPractice, 2},
    {"speed_loss", "m/s", Worse::kLower, kV, "Sum of speed lost while the driver asks for braking.",
     kPractice, 3},
    {"delay_first_pressure", "ms", Worse::kHigher, kP,
     "From the reference demand passing 1 bar to front pressure passing 1 bar. Reference demand: raw request "
     "through the "
     "baseline's static feel curve and balance.",
     kPractice, 1},
    {"delay_10_percent", "ms", Worse::kHigher, kP,
     "From reference demand to front pressure, each at 10 % of the reference's peak.", kPractice, 1},
    {"delay_63_percent", "ms", Worse::kHigher, kP,
     "From reference demand to front pressure, each at 63 % of the reference's peak.", kPractice, 1},
    {"delay_90_percent", "ms", Worse::kHigher, kP,
     "From reference demand to front pressure, each at 90 % of the reference's peak.", kPractice, 1},
    {"delay_first_deceleration", "ms", Worse::kHigher, kV,
     "From the reference demand passing 1 bar to a deceleration 0.5 m/s^2 above that at onset.", kPractice,
     1},
    {"rise_rate", "bar/s", Worse::kLower, kP,
     "Mean rise of front pressure from 10 % to 90 % of the reference's peak.", kPractice, 1},
    {"settling_time", "ms", Worse::kHigher, kP,
     "From the reference demand reaching 90 % of its peak until front pressure stays within 10 % of the peak "
     "of the controller's target, while the reference stays there and the slip limiter leaves it alone.",
     kPractice, 0},
    {"release_delay", "ms", Worse::kHigher, kP,
     "From the last fall of the reference demand to that of front pressure, each at 10 % of the reference's "
     "peak.",
     kPractice, 1},
    {"pressure_overshoot", "%", Worse::kHigher, kP,
     "Peak front pressure over the controller's peak front target, less one.", kPractice, 2},
    {"tracking_error", "bar", Worse::kHigher, kP,
     "RMS of front pressure less reference demand while the driver asks for braking.", kPractice, 2},
    {"peak_tracking_error", "bar", Worse::kHigher, kP,
     "Greatest difference of front pressure and reference demand while the driver asks for braking.",
     kPractice, 2},
    {"front_share", "%", Worse::kEither, kP,
     "Front brake torque over all brake torque, mean over the replay.", kPractice, 2},
    {"front_share_at_peak", "%", Worse::kEither, kP,
     "Front share of the brake torque in the tick in which both axles together give most.", kPractice, 2},
    {"front_share_spread", "%", Worse::kHigher, kP,
     "Greatest less least front share of the brake torque while front pressure is at half of the reference's "
     "peak or more.",
     kPractice, 2},
    {"front_share_over_ideal", "%", Worse::kEither, kP,
     "Front share of the braking forces less that of the wheel loads, the ideal distribution, mean over the "
     "same time.",
     "UN R13-H Annex 5 (equal use of adhesion by both axles; from memory)", 2},
    {"peak_slip_front", "%", Worse::kHigher, kV, "Greatest braking slip of a front wheel above 2 m/s.",
     kPractice, 1},
    {"peak_slip_rear", "%", Worse::kHigher, kV, "Greatest braking slip of a rear wheel above 2 m/s.",
     kPractice, 1},
    {"time_beyond_peak", "ms", Worse::kHigher, kV,
     "Time a wheel brakes beyond the slip of its tyre's greatest force, above 2 m/s.", kPractice, 0},
    {"locked_time_front", "ms", Worse::kHigher, kV, "Time with a front wheel locked above 15 km/h.",
     "UN R13-H Annex 3, 2.1 (15 km/h from memory)", 0},
    {"locked_time_rear", "ms", Worse::kHigher, kV, "Time with a rear wheel locked above 15 km/h.",
     "UN R13-H Annex 3, 2.1 (15 km/h from memory)", 0},
    {"first_lock_deceleration", "m/s^2", Worse::kLower, kV,
     "Deceleration when the first wheel locks above 15 km/h; the greatest one where none does.",
     "UN R13-H Annex 5 (lock order; from memory)", 2},
    {"rear_lock_lead", "ms", Worse::kHigher, kV,
     "By how much a rear wheel locks before a front one above 15 km/h; until the end where no front wheel "
     "does, 0 where no rear wheel does.",
     "UN R13-H Annex 5 (front wheels lock first; from memory)", 0},
    {"adhesion_utilization", "%", Worse::kLower, kV,
     "Braking force of all tyres over what they could give, mean while the slip limiter acts above 15 km/h.",
     "UN R13-H Annex 6 (after its epsilon; from memory)", 1},
    {"unmet_lateral_force", "N", Worse::kHigher, kV,
     "Greatest lateral force a bend asks for that the braking tyres cannot give.", kPractice, 0},
    {"yaw_moment", "N m", Worse::kHigher, kV,
     "Greatest moment about the centre of gravity of unequal braking and of missing lateral force.",
     kPractice, 0},
    {"peak_disc_temperature_front", "degC", Worse::kHigher, kP,
     "Greatest temperature of a front disc's friction face.", kPractice, 1},
    {"peak_disc_temperature_rear", "degC", Worse::kHigher, kP,
     "Greatest temperature of a rear disc's friction face.", kPractice, 1},
    {"authority_margin", "%", Worse::kLower, kP,
     "Least of what was left of actuator pressure and volume, both circuits.", kPractice, 1},
    {"flow_saturated_time", "ms", Worse::kHigher, kP, "Time an actuator's flow limit held the pressure back.",
     kPractice, 0},
    {"slip_limit_time", "ms", Worse::kHigher, kV, "Time the slip limiter took pressure away.", kPractice, 0},
    {"unrequested_pressure", "bar", Worse::kHigher, kP,
     "Greatest front pressure more than 0.5 s after the reference demand has ended.", kPractice, 2},
    {"roll_away_distance", "m", Worse::kHigher, kV,
     "Farthest the car moves from where it first stood (0.05 m/s), either way, until it is driven on.",
     kPractice, 3},
    {"launch_release_time", "ms", Worse::kHigher, kP,
     "From the driver driving on from standstill to both circuits below 1 bar.", kPractice, 0},
    {"launch_drag_work", "kJ", Worse::kHigher, kP,
     "Work of the brakes against a driver who drives on from standstill.", kPractice, 3},
    {"blend_error", "bar", Worse::kHigher, kP,
     "RMS of friction and motor braking together, as pressure, less the controller's target while the driver "
     "asks for braking; of the worse axle.",
     kPractice, 2},
    {"energy_recovered", "kJ", Worse::kLower, kV, "Energy that braking puts into the battery.", kPractice, 2},
    {"fault_detection_time", "ms", Worse::kHigher, kR,
     "From the start of the fault to the controller leaving `ready`.",
     "ISO 26262-1:2018, 3.55 (fault detection time interval)", 0},
    {"fault_recovery_time", "ms", Worse::kHigher, kR,
     "From the end of the fault to the controller back in `ready`.", kPractice, 0},
    {"fault_unbraked_time", "ms", Worse::kHigher, kP,
     "Longest time since the fault began in which the driver asks for braking and neither circuit has a "
     "tenth of "
     "the reference demand.",
     kPractice, 0},
    {"fault_unrequested_time", "ms", Worse::kHigher, kP,
     "Longest time since the fault began in which a circuit has more than 1 bar although the reference "
     "demand has "
     "been gone for 0.5 s.",
     kPractice, 0},
    {"fault_unrequested_deceleration", "m/s^2", Worse::kHigher, kV,
     "Greatest deceleration in the time of `fault_unrequested_time`; 0 without any.", kPractice, 2},
    {"fault_hand_deceleration", "m/s^2", Worse::kLower, kV,
     "Greatest deceleration from 0.2 s after the start of the fault to its end while the driver brakes by "
     "hand; "
     "0.3 s of it at least.",
     kPractice, 2},
    {"fault_pedal_deceleration", "m/s^2", Worse::kLower, kV,
     "The same while the driver brakes by the pedal alone.", kPractice, 2},
    {"fault_return_jump", "bar", Worse::kHigher, kP,
     "Reference demand less the controller's front target in the tick in which it comes back to `ready`: "
     "what the "
     "brakes then take up although the driver has not moved.",
     kPractice, 1},
    {"fault_lost_distance", "m", Worse::kHigher, kV,
     "Distance to the end of the replay, less that of the same replay without the fault; of a campaign.",
     kPractice, 2},
    {"fault_undetected_share", "%", Worse::kHigher, kR,
     "Replays of a campaign in which the controller never left `ready`.", kPractice, 1},
    {"fault_unrecovered_share", "%", Worse::kHigher, kR,
     "Replays of a campaign in which the controller left `ready` and was not back at the end.", kPractice, 1},
    {"fault_unstopped_share", "%", Worse::kHigher, kV,
     "Replays of a campaign in which the car never stood, although it does without the fault.", kPractice, 1},
    {"driver_speed_error", "m/s", Worse::kHigher, kV,
     "RMS of the car's speed less the speed the driver follows while he means to brake.", kPractice, 3},
    {"driver_peak_speed_error", "m/s", Worse::kHigher, kV,
     "Greatest difference between the car's speed and the speed the driver follows while he means to brake.",
     kPractice, 3},
    {"hand_peak_effort", "mm", Worse::kHigher, kV, "Greatest travel the driver who follows a speed needs.",
     kPractice, 2},
    {"hand_mean_effort", "mm", Worse::kHigher, kV,
     "Mean travel while the driver who follows a speed means to brake.", kPractice, 2},
    {"hand_accumulated_effort", "mm s", Worse::kHigher, kV,
     "Travel of the hand control over the time in which the driver who follows a speed means to brake.",
     kPractice, 1},
    {"pedal_peak_effort", "N", Worse::kHigher, kV, "Greatest force the driver who follows a speed needs.",
     kPractice, 1},
    {"pedal_mean_effort", "N", Worse::kHigher, kV,
     "Mean force while the driver who follows a speed means to brake.", kPractice, 1},
    {"pedal_accumulated_effort", "N s", Worse::kHigher, kV,
     "Force on the pedal over the time in which the driver who follows a speed means to brake.", kPractice,
     0},
    {"feel_hand_threshold", "mm", Worse::kEither, kV,
     "Travel at which the deceleration that brakes and motors make reaches the lowest of the eight "
     "levels of feel.",
     kPractice, 2},
    {"feel_hand_effort", "mm", Worse::kEither, kV,
     "Travel at which the deceleration that brakes and motors make reaches the greatest level of feel.",
     kPractice, 2},
    {"feel_hand_gain", "m/s^2/mm", Worse::kEither, kV,
     "Slope of the least-squares line of deceleration over travel through the levels of feel on the way up.",
     kPractice, 3},
    {"feel_hand_hysteresis", "mm", Worse::kEither, kV,
     "Travel at which a level of feel is reached on the way up less that on the way down, mean over the "
     "levels.",
     kPractice, 2},
    {"feel_pedal_threshold", "N", Worse::kEither, kV, "As feel_hand_threshold, of the pedal's force.",
     kPractice, 1},
    {"feel_pedal_effort", "N", Worse::kEither, kV, "As feel_hand_effort, of the pedal's force.", kPractice,
     1},
    {"feel_pedal_gain", "m/s^2/N", Worse::kEither, kV, "As feel_hand_gain, over the pedal's force.",
     kPractice, 4},
    {"feel_pedal_hysteresis", "N", Worse::kEither, kV, "As feel_hand_hysteresis, of the pedal's force.",
     kPractice, 1},
    {"feel_linearity", "%", Worse::kEither, kV,
     "Greatest distance of a level of feel from that line, in parts of the greatest level.", kPractice, 1},
    {"feel_pedal_distance", "%", Worse::kEither, kV,
     "RMS over the levels of feel of the hand's share of its effort at the greatest level less the pedal's "
     "share of its own: how far the hand's curve is from the pedal's.",
     kPractice, 1},
    {"repeat_distance_spread", "m", Worse::kHigher, kV,
     "Standard deviation of the distance to the end of the replay over noisy repetitions.", kPractice, 3},
    {"repeat_delay_spread", "ms", Worse::kHigher, kP,
     "Standard deviation of delay_90_percent over noisy repetitions.", kPractice, 2},
    {"repeat_deceleration_spread", "m/s^2", Worse::kHigher, kV,
     "Standard deviation over noisy repetitions of mean_fully_developed_deceleration, or of "
     "peak_deceleration "
     "where the scenario is not a stop.",
     kPractice, 3},
    {"step_distance_range", "m", Worse::kHigher, kV,
     "Greatest less least distance to the end of the replay over the balance steps.", kPractice, 2},
    {"step_delay_range", "ms", Worse::kHigher, kP,
     "Greatest less least delay_90_percent over the balance steps.", kPractice, 1},
    {"step_deceleration_range", "m/s^2", Worse::kHigher, kV,
     "Greatest less least deceleration, as in repeat_deceleration_spread, over the balance steps.", kPractice,
     3},
    {"corner_distance_range", "m", Worse::kHigher, kV,
     "Greatest less least distance to the end of the replay over the corner matrix.", kPractice, 2},
    {"corner_delay_range", "ms", Worse::kHigher, kP,
     "Greatest less least delay_90_percent over the corner matrix.", kPractice, 1},
    {"corner_deceleration_range", "m/s^2", Worse::kHigher, kV,
     "Greatest less least deceleration, as in repeat_deceleration_spread, over the corner matrix.", kPractice,
     3},
    {"corner_distance", "m", Worse::kHigher, kV,
     "Greatest distance to the end of the replay over the corner matrix.", kPractice, 2},
    {"corner_deceleration", "m/s^2", Worse::kLower, kV,
     "Least deceleration, as in repeat_deceleration_spread, over the corner matrix.", kPractice, 3},
    {"mirrored_distance_difference", "m", Worse::kHigher, kV,
     "Difference of the distance to the end of the replay with left and right exchanged.", kPractice, 3},
    {"mirrored_delay_difference", "ms", Worse::kHigher, kP,
     "Difference of delay_90_percent with left and right exchanged.", kPractice, 2},
    {"mirrored_deceleration_difference", "m/s^2", Worse::kHigher, kV,
     "Difference of the deceleration, as in repeat_deceleration_spread, with left and right exchanged.",
     kPractice, 3},
    {"stint_distance_change", "%", Worse::kHigher, kV,
     "Distance of a stop on the stint's last lap at pace over that on its first one, less one; the greatest "
     "of "
     "the lap's stops.",
     kPractice, 2},
    {"stint_deceleration_change", "%", Worse::kLower, kV,
     "Mean deceleration while the driver asks for braking on the stint's last lap at pace over that on its "
     "first one, less one; the least of the lap's parts.",
     kPractice, 2},
    {"stint_boiling_margin", "K", Worse::kLower, kP,
     "Least temperature left to the boiling point of the fluid in a caliper when an application begins; of a "
     "stint.",
     kPractice, 1},
    {"stint_peak_pad_temperature", "degC", Worse::kHigher, kP,
     "Greatest temperature of a wheel's pads in a stint.", kPractice, 1},
    {"stint_peak_caliper_temperature", "degC", Worse::kHigher, kP,
     "Greatest temperature of a caliper's body in a stint.", kPractice, 1},
    {"stint_peak_fluid_temperature", "degC", Worse::kHigher, kP,
     "Greatest temperature of the fluid in a caliper in a stint.", kPractice, 1},
    {"stint_peak_actuator_temperature", "degC", Worse::kHigher, kP,
     "Greatest winding temperature of an actuator in a stint.", kPractice, 1},
    {"stint_derating_time", "s", Worse::kHigher, kP,
     "Time of a stint with an actuator's strength reduced by its heat.", kPractice, 1},
    {"stint_actuator_duty", "%", Worse::kHigher, kP,
     "Root mean square over a stint of an actuator's pressure over its stall pressure, of the circuit with "
     "more: "
     "what a constant load would have to be for the same heat.",
     kPractice, 2},
    {"stint_wear_front", "mm^3", Worse::kHigher, kP,
     "Volume worn off the pads of a front wheel in a stint, the worse one.", kPractice, 1},
    {"stint_wear_rear", "mm^3", Worse::kHigher, kP,
     "Volume worn off the pads of a rear wheel in a stint, the worse one.", kPractice, 1},
    {"stint_wear_spread", "%", Worse::kEither, kP,
     "Greatest less least wear of a wheel over the mean of all four, in a stint.", kPractice, 1},
    {"stint_brake_work", "kJ", Worse::kHigher, kP, "Friction work of all brakes in a stint.", kPractice, 0},
    {"stint_hand_effort", "mm s/MJ", Worse::kHigher, kV,
     "Travel of the hand control summed over time, per friction work of all brakes, in the parts of a stint "
     "in "
     "which it was used: what a driver's hand pays for braking, hot brakes and cold.",
     kPractice, 1},
    {"stint_pedal_effort", "N s/MJ", Worse::kHigher, kV, "As stint_hand_effort, of the pedal's force.",
     kPractice, 0},
    {"stint_drag_work", "kJ", Worse::kHigher, kP,
     "Friction work of all brakes more than 0.5 s after the reference demand has ended, a lap: what brakes "
     "that "
     "drag take while they should cool.",
     kPractice, 1},
    {"change_over_time", "ms", Worse::kHigher, kP,
     "From the selector saying the other driver's control to front pressure at 90 % of what that control "
     "asks "
     "for, for good; 0 where it never falls short.",
     kPractice, 0},
    {"change_over_jump", "bar", Worse::kHigher, kP,
     "Greatest lead of front pressure over its own first-order mean of 0.1 s after the selector has changed "
     "over: "
     "what the driver feels as a snatch.",
     kPractice, 2},
};

}  // namespace

std::span<const MeasureInfo> catalogue() {
  return kCatalogue;
}

std::optional<int> find_measure(std::string_view name) {
  int index = 0;
  for (const MeasureInfo& info : kCatalogue) {
    if (info.name == name) return index;
    ++index;
  }
  return std::nullopt;
}

}  // namespace brakeward::measure
