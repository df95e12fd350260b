#include "unit/report/sample_run.h"

#include <limits>
#include <utility>

#include "unit/verdict/scenario_builder.h"

namespace brakeward::report {
namespace {

using verdict::Comparison;
using verdict::kNoBound;
using verdict::measured;
using verdict::never;
using verdict::not_shown;

verdict::ScenarioResult judged(std::string name, std::string scenario_class, const Comparison& comparison) {
  verdict::ScenarioResult result = comparison.judge();
  result.scenario = std::move(name);
  result.scenario_class = std::move(scenario_class);
  return result;
}

// 41.24 m against 40.40 m, a weaker peak, a balance within its tolerance.
Comparison wet_stop() {
  return Comparison()
      .value("stopping_distance", measured(41.24))
      .baseline("stopping_distance", 40.4)
      .tolerance("stopping_distance", 0.4)
      .value("peak_deceleration", measured(8.25))
      .baseline("peak_deceleration", 8.75)
      .tolerance("peak_deceleration", 0.375)
      .value("pressure_onset", never())
      .baseline("pressure_onset", 182)
      .tolerance("pressure_onset", 10)
      .value("front_share", measured(60.5))
      .baseline("front_share", 60)
      .tolerance("front_share", 1)
      .value("adhesion_use", measured(0.8));
}

Comparison dry_stop() {
  Comparison c = wet_stop();
  c.value("stopping_distance", measured(40.5))
      .value("peak_deceleration", measured(9))
      .value("pressure_onset", measured(180))
      .limit("stopping_distance", -kNoBound, 70, "UN R13-H Annex 3");
  return c;
}

Comparison at_the_limit() {
  Comparison c = dry_stop();
  return c.limit("peak_deceleration", 9.0000001, kNoBound, "invented house rule");
}

Comparison drifting() {
  Comparison c = wet_stop();
  c.input().trust = {
      false, true, false,
      "the replay leaves the recording by more than 0.5 m/s^2 for 2.40 s; a recording with line "
      "pressure on both axles would settle whether the pads or the controller differ"};
  return c;
}

Comparison bypassed() {
  Comparison c = dry_stop();
  c.input().limits.clear();
  c.input().trust = {true, false, false,
                     "recorded line pressure is replayed, so that the calibration has no part in it"};
  return c;
}

Comparison broken() {
  Comparison c = dry_stop();
  return c.value("adhesion_use", measured(std::numeric_limits<double>::quiet_NaN()));
}

}  // namespace

verdict::Run sample_run() {
  verdict::Run run;
  run.calibration_name = "softer_bite";
  run.calibration_sha256 = std::string(64, 'a');
  run.vehicle_name = "invented_single_seater";
  run.vehicle_sha256 = std::string(64, 'b');
  run.library_name = "invented_library";
  run.baseline_event_build = "spring_2";
  run.state = verdict::RunState::kCompleted;
  run.numerics_version = 3;
  run.duration_s = 0.75;
  run.replayed_s = 94.5;
  run.calibration_changes = {{"hand_control.dead_band_mm", "1.5 mm", "2 mm"},
                             {"balance.steps[\"+2\"].front_percent", "62 %", "61.5 %"},
                             {"pressure_control.prefill_bar", "8 bar", "unset (0 bar)"}};
  run.scenarios.push_back(judged("dry_stop_100", "straight_dry", dry_stop()));
  run.scenarios.push_back(judged("corner_entry_replay", "stab", drifting()));
  run.scenarios.back().reproduction = verdict::Reproduction{"spring_1", 0.625, 2.5, 2.4};
  run.scenarios.back().reproduction->channels = {
      {"deceleration", "m/s^2", 0.75, 0.8, 1, 0.5, 0.65, 0.625, -2.25, ""},
      {"pressure", "bar", {}, 0, 0, 0, 0, 2.5, 4, "the recording is constant here"}};
  run.scenarios.push_back(judged("wet_stop_80", "straight_wet", wet_stop()));
  run.scenarios.push_back(judged("line_pressure_log", "measured_pressure", bypassed()));
  run.scenarios.back().reproduction = verdict::Reproduction{"spring_1", 0.125, {}, 0};
  run.scenarios.push_back(judged("dry_stop_at_limit", "straight_dry", at_the_limit()));
  run.scenarios.push_back(judged("split_step", "split_friction", broken()));
  conclude(run);
  run.result_sha256 = result_sha256(run);
  return run;
}

}  // namespace brakeward::report
