// What is drawn of a scenario: its replays, thinned to a few hundred ticks a channel.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brakeward::report {

// A stretch of the replay in which something was made to go wrong.
struct FaultSpan {
  std::string what;
  double start_s = 0;
  double end_s = 0;
};

// Levels of the front circuit that the delays are timed at: 10, 63 and 90 % of the reference demand's peak.
struct ResponseLevels {
  std::array<double, 3> level_bar = {0, 0, 0};
  std::array<double, 3> reference_s = {-1, -1, -1};  // when the reference first passed; negative for never
};

// Measures of the delay at each of the levels.
struct LevelDelay {
  int percent;  // of the demand
  std::string_view measure;
};
inline constexpr LevelDelay kLevelDelays[] = {
    {10, "delay_10_percent"}, {63, "delay_63_percent"}, {90, "delay_90_percent"}};

// The replays of one scenario, tick by tick. Rows as replay::Trace has them.
struct ScenarioTraces {
  std::string scenario;
  double tick_s = 0.001;
  std::vector<double> candidate;
  std::vector<double> baseline;            // under the baseline's calibration; empty without one
  std::vector<double> recorded_speed_mps;  // one a tick; empty when no speed was recorded
  std::vector<FaultSpan> faults;
  std::optional<ResponseLevels> response;  // nothing where the replay enters at pressure
};

enum class LineKind { kInput, kReference, kTarget, kCandidate, kBaseline, kRecording };

struct Line {
  LineKind kind = LineKind::kCandidate;
  std::string_view side;       // "left", "right"; empty where there is one only
  std::vector<double> values;  // NaN where there is nothing to draw; may end early
};

// One plot.
struct Panel {
  std::string_view title;
  std::string_view unit;
  double resolution = 1;  // values are told to this
  bool steps = false;     // a value holds until the next one
  std::vector<Line> lines;
};

struct Figure {
  std::string scenario;
  double tick_s = 0.001;
  std::vector<size_t> ticks;  // rows of the traces; row i is at time (i + 1) tick_s
  std::vector<Panel> panels;
  std::vector<std::string> quiet;  // plots left out, each with why: "pedal force (0 throughout)"
  std::vector<FaultSpan> faults;
  std::optional<ResponseLevels> response;
  std::vector<size_t> response_ticks;
  Panel response_panel;  // drawn where there are response ticks
};

// Points a channel, about.
inline constexpr size_t kFigurePoints = 400;

// Braking slip is left out below this speed, as its measures leave it out.
inline constexpr double kSlipAbove_mps = 2;

Figure make_figure(const ScenarioTraces& traces);

}  // namespace brakeward::report
