// Bad input, read as the engineer who gave it would read the answer: every fault of every document in one go,
// each with file, line or address, value, range, unit and remedy; exit code 65; nothing written.
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <random>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

class BadInput : public testing::Test {
 protected:
  // Checks, expects refusal with outputs left alone, and gives what was said.
  std::string refused(const std::string& calibration, std::vector<std::string> more = {}) {
    const std::string json = library.beside("old.json"), junit = library.beside("new.xml");
    write_file(json, "old");
    more.insert(more.end(), {"--json", json, "--junit", junit});
    const Outcome outcome = library.check(calibration, more);
    EXPECT_EQ(outcome.exit_code, 65) << outcome.out << outcome.err;
    EXPECT_EQ(outcome.out, "") << "nothing that could be taken for a verdict";
    EXPECT_EQ(read_file(json), "old");
    EXPECT_FALSE(fs::exists(junit));
    for (size_t at = 0; at < outcome.err.size(); at = outcome.err.find('\n', at) + 1)
      EXPECT_EQ(outcome.err.compare(at, 11, "brakeward: "), 0) << outcome.err;
    return outcome.err;
  }

  std::string refused() { return refused(library.released()); }

  LibraryCopy library;
};

void expect_says(const std::string& said, const std::vector<std::string>& parts) {
  for (const std::string& part : parts)
    EXPECT_NE(said.find(part), std::string::npos) << "missing: " << part << "\nin: " << said;
}

long faults_in(const std::string& said) {
  return std::count(said.begin(), said.end(), '\n');
}

std::string at_line(const std::string& file, int line) {
  return file + ":" + std::to_string(line) + ": ";
}

TEST_F(BadInput, FilesThatAreNoDocument) {
  const std::string file = library.beside("odd.textproto");
  expect_says(refused(file), {file + ": there is no such file; check the path."});
  write_file(file, "");
  expect_says(refused(file), {at_line(file, 1), "the document is empty", "Calibration"});
  std::string bytes(4096, '\0');
  std::mt19937 random(1);
  for (char& c : bytes) c = static_cast<char>(random());
  write_file(file, bytes);
  expect_says(refused(file), {at_line(file, 1), "is this the right file?"});
  expect_says(refused(library.folder()), {"is a directory; name the document file in it"});
  expect_says(refused("/dev/null"), {"/dev/null: is not a regular file"});
  expect_says(refused(library.vehicle()), {library.vehicle(), "brakeward.v1.Vehicle", "Calibration"});
}

TEST_F(BadInput, AFileThatMayNotBeRead) {
  const std::string file = library.beside("closed.textproto");
  fs::copy(library.released(), file);
  fs::permissions(file, fs::perms::none);
  How how;
  how.powerless = true;
  const Outcome outcome = library.check(file, {}, how);
  EXPECT_EQ(outcome.exit_code, 65);
  expect_says(outcome.err, {file + ": cannot be read: Permission denied; check its permissions"});
}

TEST_F(BadInput, AnUnknownField) {
  const std::string file = library.candidate([](v1::Calibration&) {});
  const std::string text = read_file(file);
  const size_t at = text.find("dead_band_mm");
  write_file(file, std::string(text).replace(at, 9, "dead_bnd"));
  const long line = 1 + std::count(text.begin(), text.begin() + static_cast<long>(at), '\n');
  const std::string said = refused(file);
  expect_says(said, {at_line(file, static_cast<int>(line)) + "hand_control.dead_bnd_mm: ", "dead_band_mm"});
}

TEST_F(BadInput, AValueOutOfRange) {
  const std::string file = library.candidate([](v1::Calibration&) {});
  const int line = library.set_value(file, "dead_band_mm", "55");
  const std::string said = refused(file);
  expect_says(said, {at_line(file, line) + "hand_control.dead_band_mm: 55 mm is above the allowed 0 to 20 mm",
                     "lower it to 20 mm or less", "Travel without demand"});
  EXPECT_EQ(faults_in(said), 1) << said;
}

TEST_F(BadInput, EveryFaultOfTwoDocumentsAtOnce) {
  const std::string file = library.candidate([](v1::Calibration&) {});
  const int dead_band = library.set_value(file, "dead_band_mm", "-1");
  const int share = library.set_value(file, "front_percent", "5");
  const int rise = library.set_value(file, "rise_limit_bar_per_s", "fast");
  const int limit = library.set_value(file, "demand_limit_bar", "nan");
  const int mass = library.set_value(library.vehicle(), "mass_kg", "17");
  const int tick = library.set_value(library.vehicle(), "tick_ms", "0.1");
  const int layout = library.set_value(library.vehicle(), "layout", "DRIVE_LAYOUT_SIDE");
  const std::string said = refused(file);
  expect_says(
      said, {at_line(file, dead_band) + "hand_control.dead_band_mm: -1 mm is below",
             at_line(file, share) + "balance.steps[\"", "front_percent: 5 % is below the allowed 20 to 95 %",
             at_line(file, rise) + "pressure_control.rise_limit_bar_per_s: ",
             at_line(file, limit) + "pressure_control.demand_limit_bar: ",
             at_line(library.vehicle(), mass) + "chassis.mass_kg: 17 kg is below the allowed 100 to 10000 kg",
             at_line(library.vehicle(), tick) + "tick_ms: 0.1 ms is below the allowed 0.5 to 5 ms",
             at_line(library.vehicle(), layout) + "driveline.layout: "});
  EXPECT_EQ(faults_in(said), 7) << said;
}

TEST_F(BadInput, ACandidateTheLibraryListsTooIsToldAboutOnce) {
  library.set_value(library.released(), "dead_band_mm", "55");
  EXPECT_EQ(faults_in(refused()), 1);
}

TEST_F(BadInput, PointsOfACurveThatAreAllButOne) {
  for (const double x : {1e-320, 1e-9, 9e-7}) {
    const std::string file = library.candidate([&](v1::Calibration& c) {
      auto* feel = c.mutable_hand_control()->mutable_effort_grades(0)->mutable_feel();
      feel->mutable_points(0)->set_x(0);
      feel->mutable_points(1)->set_x(x);
    });
    expect_says(refused(file),
                {file + ":", ".feel.points[1].x: x rises by less than 1e-06 mm", "move the points apart"});
  }
}

TEST_F(BadInput, AWrongUnitInAChannelMapIsToldOnceAndInTheMap) {
  const std::string map = library.file("recordings/logger.textproto");
  library.change<v1::ChannelMap>(map, [](v1::ChannelMap& m) {
    m.set_time_unit("min");
    for (auto& c : *m.mutable_channels())
      if (c.signal() == v1::RECORDED_SIGNAL_SPEED) c.set_unit("bar");
  });
  const std::string said = refused();
  expect_says(
      said, {map + ": channel map: time_unit 'min' is not a unit of a time; accepted: s, ms, us, ns",
             map + ": channel map, channel ", "(speed): unit 'bar' is not a unit of a speed; accepted: m/s"});
  EXPECT_EQ(faults_in(said), 2) << said;
}

TEST_F(BadInput, ALegalUnitThatCannotBeMeant) {
  library.keep({"saltmarsh_wet_80"});
  const std::string map = library.file("recordings/logger.textproto");
  library.change<v1::ChannelMap>(map, [](v1::ChannelMap& m) {
    for (auto& c : *m.mutable_channels())
      if (c.signal() == v1::RECORDED_SIGNAL_FRONT_PRESSURE) {
        c.set_unit("MPa");
        c.set_scale(100);
      }
  });
  expect_says(refused(), {"saltmarsh_wet_80.csv", "front_pressure", "MPa", "outside the plausible"});
}

TEST_F(BadInput, AColumnThatIsNotThere) {
  library.keep({"saltmarsh_wet_80"});
  library.change<v1::ChannelMap>(library.file("recordings/logger.textproto"), [](v1::ChannelMap& m) {
    for (auto& c : *m.mutable_channels())
      if (c.signal() == v1::RECORDED_SIGNAL_SPEED) c.set_column("V_KPH");
  });
  expect_says(refused(), {"saltmarsh_wet_80.csv: line 1: no column 'V_KPH' (speed); did you mean 'V_KMH'?"});
}

TEST_F(BadInput, AMissingRecording) {
  const fs::path csv = library.file("recordings/corrie_dry_60.csv");
  fs::remove(csv);
  expect_says(refused(), {library.file("recordings/corrie_dry_60.textproto").string() + ": file: ",
                          csv.string() + ": there is no such file", "--recordings"});
}

TEST_F(BadInput, ARecordingInAFolderOfItsOwnIsFound) {
  library.keep({"corrie_dry_60"});
  const fs::path elsewhere = library.beside("logs");
  fs::create_directory(elsewhere);
  fs::rename(library.file("recordings/corrie_dry_60.csv"), elsewhere / "corrie_dry_60.csv");
  EXPECT_LE(library.check(library.released(), {"--recordings", elsewhere}).exit_code, 2);
  How how;
  how.environment = {"BRAKEWARD_RECORDINGS=" + elsewhere.string()};
  EXPECT_LE(library.check(library.released(), {}, how).exit_code, 2);
}

TEST_F(BadInput, AChangedRecording) {
  const fs::path csv = library.file("recordings/corrie_dry_60.csv");
  write_file(csv, read_file(csv) + "\n");
  expect_says(refused(), {library.file("recordings/corrie_dry_60.textproto").string() + ": file_sha256: ",
                          csv.string() + " has SHA-256 ", "the document says ", "Restore the file"});
}

TEST_F(BadInput, ACalibrationOfAnotherCar) {
  const std::string file = library.candidate([](v1::Calibration& c) { c.set_vehicle("roan"); });
  expect_says(refused(file),
              {file + ": vehicle: this calibration belongs to \"roan\", the car under check is \"sorrel\"",
               "--library"});
}

TEST_F(BadInput, ACalibrationWithoutWhatAScenarioChooses) {
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"),
                               [](v1::Scenario& s) { s.set_balance_step("-1"); });
  const std::string file = library.candidate([](v1::Calibration& c) {
    auto* steps = c.mutable_balance()->mutable_steps();
    for (int i = steps->size(); i-- > 0;)
      if (steps->at(i).name() == "-1") steps->DeleteSubrange(i, 1);
  });
  expect_says(refused(file),
              {file + ": balance.steps: scenario step_hand chooses \"-1\"", "it has \"-2\", "});
}

TEST_F(BadInput, ALibraryWithoutScenarios) {
  library.change<v1::Library>(library.index(), [](v1::Library& l) { l.clear_scenario_files(); });
  expect_says(refused(), {at_line(library.index(), 1) + "scenario_files: is empty; give at least one."});
}

TEST_F(BadInput, ALibraryThatIsNotThere) {
  const std::string calibration = library.released();
  const auto check = [&](const std::string& folder) {
    const Outcome outcome = run({"check", "--library", folder, "--calibration", calibration});
    EXPECT_EQ(outcome.exit_code, 65);
    EXPECT_EQ(outcome.out, "");
    return outcome.err;
  };
  expect_says(check(library.beside("none")), {"none: there is no such folder", "library.textproto"});
  expect_says(check(library.index()),
              {"library.textproto: there is no such folder; name the folder of the car"});
  expect_says(check(library.file("scenarios")), {"scenarios/library.textproto: there is no such file"});
}

TEST_F(BadInput, DocumentsTheIndexNamesAndNobodyHas) {
  library.change<v1::Library>(library.index(), [](v1::Library& l) {
    l.set_vehicle_file("vehicle/none.textproto");
    l.add_scenario_files("scenarios/none.textproto");
    l.add_recording_files("recordings/none.textproto");
    l.add_calibration_files("calibrations/none.textproto");
    l.set_tolerances_file("tolerances/none.textproto");
    l.set_baseline_file("baselines/none.textproto");
  });
  const std::string said = refused();
  for (const char* folder : {"vehicle", "scenarios", "recordings", "calibrations", "tolerances", "baselines"})
    expect_says(said, {library.file(folder).string() + "/none.textproto: there is no such file"});
  EXPECT_EQ(faults_in(said), 6) << said;
}

TEST_F(BadInput, AScenarioThatDoesNotFitItsRecording) {
  library.change<v1::Scenario>(library.file("scenarios/saltmarsh_wet_80.textproto"), [](v1::Scenario& s) {
    s.mutable_recorded()->set_start_s(5000);
    s.mutable_recorded()->set_end_s(5010);
  });
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"),
                               [](v1::Scenario& s) { s.mutable_synthetic()->set_travel_mm(0); });
  const std::string said = refused();
  expect_says(said, {"saltmarsh_wet_80.textproto: scenario saltmarsh_wet_80: recorded: the stretch from 5000",
                     "is not inside the recording",
                     "step_hand.textproto: scenario step_hand: synthetic.travel_mm: 0;"});
}

TEST_F(BadInput, ALimitOnAMeasureThatDoesNotExist) {
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    auto* limit = s.add_limits();
    limit->set_measure("stoping_distance");
    limit->set_source("test");
  });
  expect_says(refused(), {"step_hand.textproto: limits[", "no measure is named \"stoping_distance\"",
                          "`brakeward describe measures`"});
}

TEST_F(BadInput, LimitsThatHoldNothingBackOrHaveNoSource) {
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    s.clear_limits();
    const auto add = [&](const char* measure) {
      auto* limit = s.add_limits();
      limit->set_measure(measure);
      limit->set_source("test");
      return limit;
    };
    add("stopping_distance")->set_minimum(5);
    add("peak_deceleration")->set_maximum(5);
    add("front_share");
    auto* crossed = add("front_share");
    crossed->set_minimum(60);
    crossed->set_maximum(50);
  });
  expect_says(refused(),
              {"step_hand.textproto: limits[0]: only a minimum, and of stopping_distance a higher value",
               "limits[1]: only a maximum, and of peak_deceleration a lower value",
               "limits[2]: neither minimum nor maximum", "limits[3]: minimum is above maximum"});
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    s.clear_limits();
    auto* limit = s.add_limits();
    limit->set_measure("stopping_distance");
    limit->set_maximum(50);
  });
  expect_says(refused(), {"step_hand.textproto:", "limits[\"stopping_distance\"].source"});
}

TEST_F(BadInput, TolerancesOfAnUnknownClassOrMeasureOrWithoutSource) {
  const std::string file = library.file("tolerances/sorrel.textproto");
  write_file(file,
             "name: \"t\"\n"
             "every_class { measure: \"stoping_distance\" source: \"s\" }\n"
             "classes { scenario_class: SCENARIO_CLASS_STRAIT_DRY measures { measure: \"speed_loss\" } }\n"
             "ratings { scenario_class: SCENARIO_CLASS_STEP minimum: 1.5 source: \"s\" }\n");
  expect_says(refused(), {file + ":3: classes[0].scenario_class", "SCENARIO_CLASS_STRAIT_DRY",
                          ".measures[\"speed_loss\"].source", "ratings[0].minimum: 1.5"});
  write_file(file, "name: \"t\"\nevery_class { measure: \"stoping_distance\" source: \"s\" }\n");
  expect_says(refused(), {file + ": every_class[0].measure", "no measure is named \"stoping_distance\""});
}

class BadBaseline : public BadInput {
 protected:
  void SetUp() override {
    library.keep({"step_hand", "ramp_hand", "corrie_dry_60"});
    library.make_baseline();
  }
  void change(const std::function<void(v1::Baseline&)>& alter) {
    library.change<v1::Baseline>(library.baseline(), alter);
  }
  static constexpr const char* kRemake = "propose the baseline again with `brakeward baseline propose`";
};

TEST_F(BadBaseline, IsToldWithEverythingThatDoesNotFit) {
  const std::string nothing(64, '0');
  change([&](v1::Baseline& b) {
    b.set_calibration_sha256(nothing);
    b.set_vehicle_sha256(nothing);
    b.set_numerics_version(b.numerics_version() + 1);
    b.mutable_scenarios(0)->set_scenario_sha256(nothing);
    b.mutable_scenarios(1)->set_scenario("rump_hand");
  });
  const std::string said = refused(), file = library.baseline() + ": ";
  expect_says(said,
              {file + "numerics_version: made by numerics ", "this program has ",
               file + "vehicle_sha256: made with another vehicle (000000000000...) than " + library.vehicle(),
               file + "calibration_sha256: no calibration of the library has the content 000000000000...",
               "list that calibration under calibration_files",
               file + "scenarios[\"step_hand\"]: the scenario or its recording has changed",
               file + "scenarios[\"ramp_hand\"]: the baseline lacks this scenario",
               file + "scenarios[\"rump_hand\"]: the library no longer has this scenario", kRemake});
  EXPECT_EQ(faults_in(said), 6) << said;
}

TEST_F(BadBaseline, OfAnotherVehicle) {
  const std::string other = library.change<v1::Vehicle>(
      library.vehicle(), [](v1::Vehicle& v) { v.mutable_chassis()->set_mass_kg(v.chassis().mass_kg() + 1); },
      library.beside("heavier.textproto"));
  expect_says(refused(library.released(), {"--vehicle", other}),
              {"vehicle_sha256: made with another vehicle", other, kRemake});
}

TEST_F(BadBaseline, OfAScenarioThatChanged) {
  library.change<v1::Scenario>(library.file("scenarios/ramp_hand.textproto"),
                               [](v1::Scenario& s) { s.set_initial_speed_kph(s.initial_speed_kph() + 1); });
  const std::string said = refused();
  expect_says(said, {"scenarios[\"ramp_hand\"]: the scenario or its recording has changed",
                     "ramp_hand.textproto", kRemake});
  EXPECT_EQ(faults_in(said), 1) << said;
}

TEST_F(BadBaseline, OfARecordingThatChanged) {
  const fs::path csv = library.file("recordings/corrie_dry_60.csv");
  write_file(csv, read_file(csv) + "\n");
  library.change<v1::Recording>(library.file("recordings/corrie_dry_60.textproto"),
                                [](v1::Recording& r) { r.clear_file_sha256(); });
  expect_says(refused(), {"scenarios[\"corrie_dry_60\"]: the scenario or its recording has changed"});
}

TEST_F(BadBaseline, OfAScenarioThatTheLibraryDropped) {
  library.keep({"step_hand", "corrie_dry_60"});
  expect_says(
      refused(),
      {"scenarios[\"ramp_hand\"]: the library no longer has this scenario, so that nothing would judge it"});
}

TEST_F(BadBaseline, WithAMeasureThatDoesNotExist) {
  change([](v1::Baseline& b) { b.mutable_scenarios(0)->mutable_values(0)->set_measure("stoping_distance"); });
  expect_says(refused(), {library.baseline() +
                          ": scenarios[0].values[0].measure: no measure is named \"stoping_distance\""});
}

TEST_F(BadBaseline, ThatIsNotThere) {
  expect_says(refused(library.released(), {"--baseline", library.beside("none")}),
              {"none: there is no such file"});
}

TEST_F(BadInput, ExportAndBaselineWriteNothingEither) {
  library.set_value(library.released(), "dead_band_mm", "55");
  const std::string trace = library.beside("trace.csv"), out = library.beside("made.textproto");
  const Outcome exported = run({"export", "trace", "step_hand", "--library", library.folder(),
                                "--calibration", library.released(), "--csv", trace, "--hdf5", trace});
  const Outcome made = run({"baseline", "propose", "--library", library.folder(), "--calibration",
                            library.released(), "--out", out});
  for (const Outcome& outcome : {exported, made}) {
    EXPECT_EQ(outcome.exit_code, 65);
    EXPECT_EQ(outcome.out, "");
    expect_says(outcome.err, {"hand_control.dead_band_mm: 55 mm"});
  }
  EXPECT_FALSE(fs::exists(trace));
  EXPECT_FALSE(fs::exists(out));
}

TEST_F(BadInput, LogsThatCannotBeImported) {
  const std::string log = library.beside("log.csv"), map = library.beside("map.textproto");
  write_file(map,
             "time_column: \"t\" time_unit: \"s\"\n"
             "channels { signal: RECORDED_SIGNAL_SPEED column: \"v\" unit: \"m/s\" }\n");
  const auto import = [&](const std::string& text) {
    write_file(log, text);
    const Outcome outcome = run({"import", log, "--map", map});
    EXPECT_EQ(outcome.exit_code, 65) << text;
    EXPECT_EQ(outcome.out, "");
    return outcome.err;
  };
  expect_says(import(""), {log});
  expect_says(import("t,v\n"), {log});
  expect_says(import("t,v\n0,1\n1,fast\n"), {log, "line 3", "'fast'"});
  expect_says(import("t,v\n0,1\n0.1,2\n0.05,3\n"), {log, "line 4"});
  expect_says(import("t,v\n0,1\n0.1,2\n0.2\n"), {log, "line 4"});
  expect_says(import(std::string("\0\1\2\xFF", 4)), {log});
  EXPECT_EQ(run({"import", library.beside("none.csv"), "--map", map}).exit_code, 65);
  EXPECT_EQ(run({"import", library.folder(), "--map", map}).exit_code, 65);
  EXPECT_EQ(run({"import", log, "--map", library.beside("none.textproto")}).exit_code, 65);
}

}  // namespace
}  // namespace brakeward::end_to_end
