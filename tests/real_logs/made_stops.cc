#include "made_stops.h"

#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "compile/compile.h"
#include "files.h"
#include "replay/replay.h"
#include "scenario/library.h"
#include "signal/observables.h"

namespace brakeward::real_logs {
namespace {

namespace fs = std::filesystem;
using recording::Signal;

constexpr double kStep = 0.05;  // s
constexpr int kSamples = 81;    // 4 s
constexpr int kLead = 2;        // samples by which the logged pressure leads

// Level of the k-th stop and shape of its pressure in bar: nothing for 0.8 s, up within 0.2 s, then a slope.
double pressure_bar(int stop, double t) {
  const double level = 14 + 4 * stop, rise = (t - 0.8) / 0.2;
  if (rise <= 0) return 0;
  return level * std::min(rise, 1.0) - (stop % 2 == 0 ? 2 : -1.5) * std::max(0.0, t - 1);
}

double entry_mps(int stop) {
  return 60 - 3 * stop;
}

std::string number(double x) {
  char text[40];
  std::snprintf(text, sizeof text, "%.17g", x);
  return text;
}

void write(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  tests::write_file(file, text);
}

std::string header(const char* proto, const char* message) {
  return std::string("# proto-file: brakeward/v1/") + proto + ".proto\n# proto-message: brakeward.v1." +
         message + "\n";
}

void write_documents(const fs::path& folder) {
  const fs::path from = fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios/single-seater";
  fs::create_directories(folder);
  for (const char* part : {"vehicle", "calibrations", "tolerances"})
    fs::copy(from / part, folder / part, fs::copy_options::recursive | fs::copy_options::overwrite_existing);
  std::string index = header("library", "Library") +
                      "name: \"made\"\nprovenance: \"Made by the engine for a test.\"\n"
                      "vehicle_file: \"vehicle/single-seater.textproto\"\n"
                      "tolerances_file: \"tolerances/single-seater.textproto\"\n"
                      "calibration_files: \"calibrations/bypassed.textproto\"\n";
  write(folder / "recordings/channels.textproto",
        header("recording", "ChannelMap") +
            "time_column: \"t\" time_unit: \"s\"\n"
            "channels { signal: RECORDED_SIGNAL_FRONT_PRESSURE column: \"p\" unit: \"bar\" }\n"
            "channels { signal: RECORDED_SIGNAL_SPEED column: \"v\" unit: \"m/s\" }\n");
  for (const std::string stop : kMadeStops) {
    index += "recording_files: \"recordings/" + stop + ".textproto\"\nscenario_files: \"scenarios/" + stop +
             ".textproto\"\n";
    write(folder / ("recordings/" + stop + ".textproto"),
          header("recording", "Recording") + "name: \"" + stop + "\" file: \"" + stop +
              ".csv\" source: \"made\" licence: \"none\" vehicle: \"single-seater\" "
              "channel_map_file: \"channels.textproto\"\n");
    write(folder / ("scenarios/" + stop + ".textproto"),
          header("scenario", "Scenario") + "name: \"" + stop +
              "\" purpose: \"Made.\" scenario_class: SCENARIO_CLASS_MEASURED_PRESSURE\n"
              "recorded { recording: \"" +
              stop +
              "\" start_s: 0 end_s: 4 rear_pressure_ratio: 0.7 }\n"
              "entry_point: ENTRY_POINT_PRESSURE end_rule: END_RULE_END_OF_INPUT\n"
              "road { friction_left { points { x: 0 y: 1 } } }\n");
  }
  write(folder / "library.textproto", index);
}

void write_log(const fs::path& folder, int stop, const std::vector<double>& speed_mps) {
  std::string text = "t,p,v\n";
  for (int i = 0; i < kSamples; ++i)
    text += number(i * kStep) + "," + number(pressure_bar(stop, (i + kLead) * kStep)) + "," +
            number(speed_mps[static_cast<size_t>(i)]) + "\n";
  write(folder / ("recordings/" + std::string(kMadeStops[stop]) + ".csv"), text);
}

// What the engine makes of the pressure with pad friction changed in the document.
std::vector<double> made_speeds(const scenario::Library& library, int stop, double pad_factor) {
  v1::Vehicle vehicle = library.vehicle.message;
  for (v1::WheelBrake* b : {vehicle.mutable_front_brake(), vehicle.mutable_rear_brake()})
    for (auto& point : *b->mutable_pad_friction()->mutable_points()) point.set_y(point.y() * pad_factor);
  recording::Log log = library.recordings[static_cast<size_t>(stop)].log;
  for (size_t i = 0; i < log.time_s.size(); ++i)
    log.signals[static_cast<size_t>(Signal::kFrontPressure)][i] = 1e5 * pressure_bar(stop, log.time_s[i]);
  const v1::Calibration& any = library.calibrations.front().message;
  const auto compiled =
      compile::compile({vehicle, any, any, library.scenarios[static_cast<size_t>(stop)].message, &log});
  if (!compiled.ok()) return {};
  const replay::Trace trace = replay::trace(compiled->plan);
  constexpr size_t kSpeed = signal::column_of("speed");
  const long stride = std::lround(kStep / compiled->plan.structure.plant.tick_s);
  std::vector<double> speed{compiled->plan.params.plant.start_speed};
  for (long i = 1; i < kSamples; ++i)
    speed.push_back(trace.rows[static_cast<size_t>((i * stride - 1) * signal::kObservableCount) + kSpeed]);
  return speed;
}

}  // namespace

void write_made_library(const fs::path& folder, double pad_factor) {
  write_documents(folder);
  const int stops = static_cast<int>(std::size(kMadeStops));
  for (int k = 0; k < stops; ++k) write_log(folder, k, std::vector<double>(kSamples, entry_mps(k)));
  document::Faults faults;
  const auto library = scenario::load_library(folder, {}, faults);
  if (!faults.empty()) return;  // the test that loads it next says what is wrong
  for (int k = 0; k < stops; ++k) write_log(folder, k, made_speeds(library, k, pad_factor));
}

void spoil_made_stop(const fs::path& folder, const char* stop, double share) {
  const fs::path file = folder / ("recordings/" + std::string(stop) + ".csv");
  std::ifstream in(file);
  std::string text, line;
  std::getline(in, line);
  text = line + "\n";
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::string t, p, v;
    std::getline(cells, t, ',');
    std::getline(cells, p, ',');
    std::getline(cells, v, ',');
    const double late = std::max(0.0, std::stod(t) - 1);
    text += t + "," + p + "," + number(std::stod(v) * (1 - share * late)) + "\n";
  }
  in.close();
  write(file, text);
}

}  // namespace brakeward::real_logs
