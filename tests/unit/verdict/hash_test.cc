#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <set>

#include "verdict/run.h"

namespace brakeward::verdict {
namespace {

using Result = Run;  // googletest's own Run hides the name inside a test

Run sample() {
  Run run;
  run.calibration_name = "candidate";
  run.calibration_sha256 = "c0";
  run.vehicle_name = "car";
  run.vehicle_sha256 = "f0";
  run.library_name = "library";
  run.baseline_event_build = "build_1";
  run.state = RunState::kCompleted;
  run.verdict = Verdict::kFail;
  run.numerics_version = 3;
  run.duration_s = 1.5;
  run.replayed_s = 90;
  ScenarioResult s;
  s.scenario = "stop_100";
  s.scenario_class = "straight_dry";
  s.verdict = Verdict::kFail;
  s.measures = {{"stopping_distance", 41.5, 40.0, 0.5, 3.0, Verdict::kFail, "too long"},
                {"pressure_onset", {}, {}, {}, {}, Verdict::kNone, "not shown"}};
  s.reproduction = Reproduction{"on_car", 0.25, {}, 0.125};
  s.reproduction->channels = {{"speed", "m/s", 0.875, 1, 0.5, 0.75, 0.25, 0.0625, -0.5, ""}};
  run.scenarios = {s};
  return run;
}

// Reference: the bytes documented in run.cc, packed with Python's struct and hashed with hashlib; Python wins
// on disagreement.
//   import hashlib, struct as s
//   n = lambda x: s.pack("<Q", x); d = lambda x: s.pack("<d", x); t = lambda x: n(len(x)) + x.encode()
//   some = lambda x: n(1) + d(x); no = n(0)
//   b = b"".join(map(t, ["brakeward result 2", "c0", "f0", "library", "build_1"])) + n(3) + t("fail") + n(1)
//   b += t("stop_100") + t("straight_dry") + t("fail") + n(2)
//   b += t("stopping_distance") + some(41.5) + some(40) + some(.5) + some(3) + t("fail")
//   b += t("pressure_onset") + no * 4 + t("none")
//   b += n(1) + t("on_car") + d(.25) + no + d(.125)
//   b += n(1) + t("speed") + some(.875) + b"".join(map(d, [1, .5, .75, .25, .0625, -.5]))
//   hashlib.sha256(b).hexdigest()
TEST(ResultHash, IsTheDocumentedOne) {
  EXPECT_EQ(result_sha256(sample()), "6bfdfe3919f92d9309d724b41e0377474b2442f90c86db21dc3d3f34a15f2979");
}

TEST(ResultHash, LeavesOutNamesStateTimingsAndProse) {
  const std::string before = result_sha256(sample());
  Result run = sample();
  run.calibration_name = "another";
  run.vehicle_name = "another";
  run.state = RunState::kRunning;
  run.duration_s = 99;
  run.replayed_s = 98;
  run.result_sha256 = "left over";
  run.scenarios[0].reason = "prose";
  run.scenarios[0].tier = Tier::kEndurance;
  run.scenarios[0].measures[0].reason = "other prose";
  EXPECT_EQ(result_sha256(run), before);
}

TEST(ResultHash, FeelsEverythingElse) {
  const std::vector<std::function<void(Result&)>> changes = {
      [](Result&) {},
      [](Result& r) { r.calibration_sha256 = "c1"; },
      [](Result& r) { r.vehicle_sha256 = "f1"; },
      [](Result& r) { r.library_name = "other"; },
      [](Result& r) { r.baseline_event_build = "build_2"; },
      [](Result& r) { r.numerics_version = 4; },
      [](Result& r) { r.verdict = Verdict::kPass; },
      [](Result& r) { r.scenarios.push_back(r.scenarios[0]); },
      [](Result& r) { r.scenarios[0].scenario = "stop_80"; },
      [](Result& r) { r.scenarios[0].scenario_class = "stab"; },
      [](Result& r) { r.scenarios[0].verdict = Verdict::kPass; },
      [](Result& r) { r.scenarios[0].reproduction.reset(); },
      [](Result& r) { r.scenarios[0].reproduction->pressure_rms_bar = 0; },
      [](Result& r) { r.scenarios[0].reproduction->channels[0].rating.reset(); },
      [](Result& r) { r.scenarios[0].reproduction->channels[0].peak_error = 0.5; },
      [](Result& r) { r.scenarios[0].measures.pop_back(); },
      [](Result& r) { r.scenarios[0].measures[0].measure = "speed"; },
      [](Result& r) { r.scenarios[0].measures[0].value = std::nextafter(41.5, 42); },
      [](Result& r) { r.scenarios[0].measures[0].baseline.reset(); },
      [](Result& r) { r.scenarios[0].measures[0].allowed_change = 0; },
      [](Result& r) { r.scenarios[0].measures[0].allowed_change = -0.0; },
      [](Result& r) { r.scenarios[0].measures[0].tolerance_used = 2; },
      [](Result& r) { r.scenarios[0].measures[1].verdict = Verdict::kPass; },
      [](Result& r) {
        r.scenarios[0].feel = {{"hand", "mm", {}}};
      },
      [](Result& r) {
        r.scenarios[0].feel = {{"pedal", "mm", {}}};
      },
      [](Result& r) {
        r.scenarios[0].feel = {{"hand", "mm", {{0.5, 3.0, {}}}}};
      },
      [](Result& r) {
        r.scenarios[0].feel = {{"hand", "mm", {{0.5, {}, 3.0}}}};
      },
      [](Result& r) {
        r.scenarios[0].repetitions = {{"itself", "stop_100", 40, {}, {}}};
      },
      [](Result& r) {
        r.scenarios[0].repetitions = {{"itself", "stop_100", 40, 80.0, {}}};
      },
      [](Result& r) {
        r.scenarios[0].repetitions = {{"itself", "stop_100", 40, {}, 80.0}};
      },
      [](Result& r) { r.scenarios[0].stint.emplace(); },
      [](Result& r) {
        r.scenarios[0].stint = StintResult{{}, {{1, "stop_80", true, {}, {}, 0, 0, 0, 0}}};
      },
      [](Result& r) {
        r.scenarios[0].stint = StintResult{{}, {{1, "stop_80", false, {}, {}, 0, 0, 0, 0}}};
      },
      [](Result& r) {
        r.scenarios[0].stint = StintResult{{}, {{1, "stop_80", true, 40.0, {}, 0, 0, 0, 0}}};
      },
      [](Result& r) {
        r.scenarios[0].stint = StintResult{{}, {{1, "stop_80", true, {}, 40.0, 0, 0, 0, 0}}};
      },
      [](Result& r) {
        r.scenarios[0].stint = StintResult{{}, {{1, "stop_80", true, {}, {}, 400, 0, 0, 0}}};
      },
      // The same bytes of text, cut elsewhere.
      [](Result& r) { r.scenarios[0].scenario = "stop_100s", r.scenarios[0].scenario_class = "traight_dry"; },
  };
  std::set<std::string> seen;
  for (const auto& change : changes) {
    Result run = sample();
    change(run);
    seen.insert(result_sha256(run));
  }
  EXPECT_EQ(seen.size(), changes.size());
}

}  // namespace
}  // namespace brakeward::verdict
