#include "report/summary.h"

#include <algorithm>
#include <array>
#include <map>

#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::Run;
using verdict::ScenarioResult;
using verdict::Verdict;

std::string tally(size_t all, std::string_view noun, const std::map<Verdict, size_t>& counts) {
  std::string text;
  for (const Verdict v : kGravestFirst) {
    const auto found = counts.find(v);
    const size_t count = found == counts.end() ? 0 : found->second;
    if (count == 0 && v != Verdict::kFail && v != Verdict::kPass) continue;
    verdict::append(text, text.empty() ? "" : ", ", count, " ", word(v));
  }
  return verdict::concat(counted(all, noun), ": ", text);
}

}  // namespace

std::string_view shape(Verdict v) {
  switch (v) {
    case Verdict::kNone:
      return "\xe2\x80\x93";  // en dash
    case Verdict::kPass:
      return "\xe2\x9c\x93";  // check mark
    case Verdict::kInconclusive:
      return "?";
    case Verdict::kFail:
      return "\xe2\x9c\x97";  // ballot x
    case Verdict::kError:
      return "!";
  }
  return "!";
}

std::string shown(Verdict v) {
  return verdict::concat(shape(v), " ", word(v));
}

std::string counted(size_t count, std::string_view noun) {
  return verdict::concat(count, " ", noun, count == 1 ? "" : "s");
}

std::string hidden_line(size_t hidden, std::string_view why) {
  if (hidden == 0) return "";
  return verdict::concat(counted(hidden, "measure"), " ", why, " and ", hidden == 1 ? "is" : "are",
                         " not shown; --all shows them, and the JSON has them\n");
}

std::string baseline_label(const Run& run) {
  return run.baseline_proposed_only ? verdict::concat(run.baseline_event_build, " (", kProposedOnly, ")")
                                    : run.baseline_event_build;
}

std::string scenario_tally(const Run& run) {
  std::map<Verdict, size_t> counts;
  for (const ScenarioResult& s : run.scenarios) ++counts[s.verdict];
  return tally(run.scenarios.size(), "scenario", counts);
}

std::string measure_tally(const Run& run) {
  std::map<Verdict, size_t> counts;
  size_t all = 0;
  for (const ScenarioResult& s : run.scenarios) {
    for (const MeasureResult& m : s.measures) ++counts[m.verdict];
    all += s.measures.size();
  }
  return tally(all, "measure", counts);
}

std::vector<ReasonGroup> groups_by_reason(const Run& run, Verdict of) {
  std::map<std::string, ReasonGroup> groups;
  for (const ScenarioResult& s : run.scenarios) {
    for (const MeasureResult& m : s.measures) {
      if (m.verdict != of) continue;
      ReasonGroup& group = groups[m.reason];
      group.reason = m.reason.empty() ? "no reason given" : m.reason;
      ++group.measures;
      group.scenarios.insert(s.scenario);
    }
  }
  std::vector<ReasonGroup> sorted;
  for (auto& [reason, group] : groups) sorted.push_back(std::move(group));
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const ReasonGroup& a, const ReasonGroup& b) { return a.measures > b.measures; });
  return sorted;
}

std::string_view remedy_of(std::string_view reason) {
  struct Remedy {
    std::string_view reason, text;
  };
  static constexpr std::array<Remedy, 6> kRemedies = {{
      {"no tolerance for this class of scenario",
       "a tolerance for the measure and class in the tolerance set, if it should count"},
      {"there is no baseline to compare with", "a baseline of a released calibration"},
      {"the baseline has no value for it", "a baseline made anew and approved"},
      {"the event never came, nor did it in the baseline",
       "nothing here: give a limit if the event must come"},
      {"recorded line pressure", "a recording that holds the driver's control"},
      {"the recorded pressure", "a recording that holds the driver's control"},
  }};
  for (const Remedy& r : kRemedies) {
    if (reason.substr(0, r.reason.size()) == r.reason) return r.text;
  }
  return "";
}

std::string place_of(const ReasonGroup& group) {
  return group.scenarios.size() == 1 ? *group.scenarios.begin() : counted(group.scenarios.size(), "scenario");
}

}  // namespace brakeward::report
