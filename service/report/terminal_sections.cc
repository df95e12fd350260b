#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <vector>

#include "report/order.h"
#include "report/terminal_parts.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::Run;
using verdict::ScenarioResult;
using verdict::Verdict;

constexpr size_t kMostReasons = 8;
constexpr std::array<Verdict, 5> kGravestFirst = {Verdict::kError, Verdict::kFail, Verdict::kInconclusive,
                                                  Verdict::kPass, Verdict::kNone};

std::string counted(size_t count, std::string_view noun) {
  return verdict::concat(count, " ", noun, count == 1 ? "" : "s");
}

struct Group {
  std::string reason;
  size_t measures = 0;
  std::set<std::string> scenarios;
};

// Groups of equal reasons, the largest first.
std::vector<Group> groups_of_none(const Run& run) {
  std::map<std::string, Group> groups;
  for (const ScenarioResult& s : run.scenarios) {
    for (const MeasureResult& m : s.measures) {
      if (m.verdict != Verdict::kNone) continue;
      Group& group = groups[m.reason];
      group.reason = m.reason.empty() ? "no reason given" : m.reason;
      ++group.measures;
      group.scenarios.insert(s.scenario);
    }
  }
  std::vector<Group> sorted;
  for (auto& [reason, group] : groups) sorted.push_back(std::move(group));
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Group& a, const Group& b) { return a.measures > b.measures; });
  return sorted;
}

// "1 fail, 3 pass", gravest first; fail and pass are named even when there are none.
std::string tally(const std::map<Verdict, size_t>& counts) {
  std::string text;
  for (const Verdict v : kGravestFirst) {
    const auto found = counts.find(v);
    const size_t count = found == counts.end() ? 0 : found->second;
    if (count == 0 && v != Verdict::kFail && v != Verdict::kPass) continue;
    verdict::append(text, text.empty() ? "" : ", ", count, " ", word(v));
  }
  return text;
}

}  // namespace

std::string not_judged_section(const Run& run, const TerminalOptions& options) {
  const std::vector<Group> groups = groups_of_none(run);
  if (groups.empty()) return "";
  std::string text = "measures not judged (none):\n";
  for (size_t i = 0; i < std::min(groups.size(), kMostReasons); ++i) {
    const Group& group = groups[i];
    const std::string where =
        group.scenarios.size() == 1 ? *group.scenarios.begin() : counted(group.scenarios.size(), "scenario");
    text += paragraph("  - ", verdict::concat(group.measures, " in ", where, ": ", group.reason), options);
  }
  if (groups.size() > kMostReasons) {
    verdict::append(text, "  - and ", counted(groups.size() - kMostReasons, "more reason"),
                    "; the JSON has them all\n");
  }
  return text;
}

std::string reproduction_section(const Run& run) {
  size_t width = 0;
  for (const ScenarioResult& s : run.scenarios) {
    if (s.reproduction) width = std::max(width, width_of(clean(s.scenario)));
  }
  std::string text;
  for (const ScenarioResult* s : ordered_scenarios(run)) {
    if (!s->reproduction) continue;
    const verdict::Reproduction& r = *s->reproduction;
    const std::string name = clean(s->scenario);
    verdict::append(text, "  ", name, std::string(width - width_of(name), ' '), "  ",
                    verdict::format_number(r.deceleration_rms_mps2, 2), " m/s^2 rms, departure ",
                    verdict::format_number(r.longest_departure_s, 2), " s");
    if (r.pressure_rms_bar) {
      verdict::append(text, ", ", verdict::format_number(*r.pressure_rms_bar, 1), " bar rms");
    }
    verdict::append(text, ", under ", clean(r.calibration_name), "\n");
  }
  return text.empty() ? ""
                      : "the calibration on the car against its recording (departure: longest time more than "
                        "0.5 m/s^2 apart):\n" +
                            text;
}

std::string summary_section(const Run& run, const TerminalOptions& options) {
  std::map<Verdict, size_t> scenarios;
  std::map<Verdict, size_t> measures;
  size_t measure_count = 0;
  for (const ScenarioResult& s : run.scenarios) {
    ++scenarios[s.verdict];
    for (const MeasureResult& m : s.measures) ++measures[m.verdict];
    measure_count += s.measures.size();
  }
  std::string text = verdict::concat(counted(run.scenarios.size(), "scenario"), ": ", tally(scenarios), "\n",
                                     counted(measure_count, "measure"), ": ", tally(measures), "\n");
  if (run.replayed_s > 0) {
    verdict::append(text, "replayed ", verdict::format_number(run.replayed_s, 1), " s of driving in ",
                    verdict::format_number(run.duration_s, 2), " s, numerics version ", run.numerics_version,
                    "\n");
  }
  if (run.state != verdict::RunState::kCompleted) {
    verdict::append(text, "the run is not complete: ", word(run.state), "\n");
  }
  const std::string line = verdict::concat(mark(run.verdict), " verdict: ", word(run.verdict));
  return verdict::concat(text, paint(line, run.verdict, options), "\n");
}

}  // namespace brakeward::report
