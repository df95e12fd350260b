#include "report/terminal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "document/text.h"
#include "report/text.h"
#include "unit/report/sample_run.h"
#include "unit/verdict/scenario_builder.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using verdict::Verdict;

constexpr char kGoldenRun[] = R"(candidate  softer_bite  (sha256 aaaaaaaaaaaa)
baseline   spring_2
vehicle    invented_single_seater  (sha256 bbbbbbbbbbbb)
library    invented_library

  scenario             worst measure      value        change  allowed   used  verdict
! split_step           adhesion_use           -             -        -      -  error
    ! adhesion use came out as a value that is not finite; the replay broke down
x wet_stop_80          stopping_distance  41.24 m       +0.84     0.40  210 %  fail
    x stopping distance grew by 0.84 m; allowed 0.40 m
    x peak deceleration fell by 0.50 m/s^2; allowed 0.38 m/s^2
    x pressure onset never came; the baseline had 182 ms
x dry_stop_at_limit    peak_deceleration   9.00 m/s^2   +0.25     0.38  limit  fail
    x peak deceleration is 9.0000000 m/s^2; the limit is at least 9.0000001 m/s^2 (invented house rule)
? corner_entry_replay  stopping_distance  41.24 m       +0.84     0.40  210 %  inconclusive
    ? the replay leaves the recording by more than 0.5 m/s^2 for 2.40 s; a recording with line pressure on
      both axles would settle whether the pads or the controller differ
? line_pressure_log    -                                                       inconclusive
    ? nothing was judged: recorded line pressure is replayed, so that the calibration has no part in it
= dry_stop_100         front_share         60.5 %        +0.5      1.0   50 %  pass

measures not judged (none):
  - 5 in line_pressure_log: recorded line pressure is replayed, so that the calibration has no part in it
  - 4 in 4 scenarios: no tolerance for this class of scenario

the calibration on the car against its recording (departure: longest time more than 0.5 m/s^2 apart;
rated after ISO/TS 18571, 1 is best):
  corner_entry_replay  0.62 m/s^2 rms, departure 2.40 s, 2.5 bar rms, under spring_1
                       rated deceleration 0.75, pressure not
  line_pressure_log    0.12 m/s^2 rms, departure 0.00 s, under spring_1

6 scenarios: 1 error, 2 fail, 2 inconclusive, 1 pass
30 measures: 1 error, 4 fail, 4 inconclusive, 12 pass, 9 none
replayed 94.5 s of driving in 0.75 s, numerics version 3
! verdict: error
A pass is evidence for an engineer and no release for road or track: a qualified person signs off; vehicle
tests, the event's technical regulations and local law decide.
)";

TEST(Terminal, LooksLikeThis) {
  EXPECT_EQ(render_terminal(sample_run()), kGoldenRun);
}

std::string without_escapes(const std::string& text) {
  std::string plain;
  for (size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\x1b') {
      plain += text[i];
    } else {
      i = text.find('m', i);
    }
  }
  return plain;
}

TEST(Terminal, ColoursOnlyWhenAskedAndChangesNoWord) {
  TerminalOptions coloured;
  coloured.colour = true;
  EXPECT_THAT(render_terminal(sample_run()), Not(HasSubstr("\x1b")));
  EXPECT_THAT(render_terminal(sample_run(), coloured), HasSubstr("\x1b[1;31mfail\x1b[0m"));
  EXPECT_EQ(without_escapes(render_terminal(sample_run(), coloured)), render_terminal(sample_run()));
}

TEST(Terminal, CodesInNamesAndReasonsDoNotReachTheTerminal) {
  verdict::Run run = sample_run();
  const std::string hostile = "\x1b[2J\x9b\x07\n\r\x08";
  run.calibration_name = run.library_name = run.vehicle_name = run.baseline_event_build = hostile;
  run.calibration_sha256 = hostile;
  for (verdict::ScenarioResult& s : run.scenarios) {
    s.scenario += hostile;
    s.reason = hostile;
    if (s.reproduction) s.reproduction->calibration_name = hostile;
    for (verdict::MeasureResult& m : s.measures) m.measure += hostile, m.reason = hostile;
  }
  const std::string text = render_terminal(run);
  EXPECT_EQ(document::clean(text, true), text);
  EXPECT_THAT(text, Not(HasSubstr("\r")));
}

TEST(Terminal, StaysWithinTheWidth) {
  for (const size_t width : {80, 110}) {
    TerminalOptions options;
    options.width = width;
    std::istringstream lines(render_terminal(sample_run(), options));
    for (std::string line; std::getline(lines, line);) {
      EXPECT_LE(width_of(line), std::max<size_t>(width, 110)) << line;
      EXPECT_TRUE(line.empty() || line.back() != ' ') << line;
    }
  }
}

TEST(Terminal, ALongNamePushesOnlyItsOwnRowAside) {
  verdict::Run run = sample_run();
  run.scenarios[0].scenario = std::string(5000, 'n');
  std::istringstream lines(render_terminal(run));
  int longer = 0;
  for (std::string line; std::getline(lines, line);) longer += width_of(line) > 110;
  EXPECT_EQ(longer, 1);
}

// A change a hair beyond the tolerance must not read "+0.40 of 0.40, 100 %".
TEST(Terminal, AFailureNeverReadsInside) {
  verdict::Run run;
  run.scenarios.push_back(verdict::stop(40.50000095367431640625).judge());
  const std::string text = render_terminal(run);
  EXPECT_THAT(text, HasSubstr("+0.500001  0.500000  100.0002 %"));
  EXPECT_THAT(text, HasSubstr("grew by 0.500001 m; allowed 0.500000 m"));
}

TEST(Terminal, NothingAllowedIsSaidInWords) {
  verdict::Run run;
  run.scenarios.push_back(verdict::stop(41).tolerance("stopping_distance", 0).judge());
  EXPECT_THAT(render_terminal(run), HasSubstr("+1.00     0.00  none allowed"));
}

TEST(Terminal, MarksAScenariosReasonByWhatItExplains) {
  verdict::Run run;
  verdict::Comparison failing = verdict::stop(45).limit("stopping_distance", 0, 42, "invented");
  failing.input().trust = {false, true, false, "the replay drifts"};
  run.scenarios.push_back(failing.judge());
  EXPECT_THAT(render_terminal(run), HasSubstr("    ? the replay drifts\n    x stopping distance is 45.00 m"));
  run.scenarios[0] = verdict::stop(40).judge();
  run.scenarios[0].reason = "held to the end";
  EXPECT_THAT(render_terminal(run), HasSubstr("    = held to the end\n"));
  run.scenarios[0].verdict = Verdict::kError;
  EXPECT_THAT(render_terminal(run), HasSubstr("    ! held to the end\n"));
}

TEST(Terminal, ListsFewReasonsAndCountsTheRest) {
  verdict::Run run;
  verdict::ScenarioResult& s = run.scenarios.emplace_back();
  s.scenario = "many";
  s.verdict = Verdict::kInconclusive;
  for (int i = 0; i < 12; ++i) {
    verdict::MeasureResult m;
    m.measure = "measure_" + std::to_string(i);
    m.verdict = i < 5 ? Verdict::kInconclusive : Verdict::kNone;
    m.reason = "reason " + std::to_string(i);
    s.measures.push_back(m);
    if (i >= 5) s.measures.push_back(m), s.measures.back().reason += " again";
  }
  const std::string text = render_terminal(run);
  EXPECT_THAT(text, HasSubstr("    ? reason 2\n    ? and 2 more; the JSON has them all\n"));
  EXPECT_THAT(text, HasSubstr("  - and 6 more reasons; the JSON has them all\n"));
}

TEST(Terminal, SaysWhenThereIsNothingToCompareOrTheRunWasCut) {
  verdict::Run run;
  run.state = verdict::RunState::kCancelled;
  verdict::conclude(run);
  const std::string text = render_terminal(run);
  EXPECT_THAT(text, HasSubstr("baseline   none: changes cannot be judged, limits can\n"));
  EXPECT_THAT(text, HasSubstr("the run is not complete: cancelled\n"));
  EXPECT_THAT(text, HasSubstr("0 scenarios: 0 fail, 0 pass\n"));
  EXPECT_THAT(text, HasSubstr("? verdict: inconclusive\n"));
}

TEST(Terminal, EndsWithTheCaution) {
  std::string text = render_terminal(sample_run());
  for (char& c : text) c = c == '\n' ? ' ' : c;
  const std::string ending = std::string(verdict::caution()) + " ";
  EXPECT_EQ(text.substr(text.size() - ending.size()), ending);
}

}  // namespace
}  // namespace brakeward::report
