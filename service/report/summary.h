// Counts and groups that several views print.
#pragma once

#include <array>
#include <cstddef>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "verdict/run.h"

namespace brakeward::report {

inline constexpr std::array<verdict::Verdict, 5> kGravestFirst = {
    verdict::Verdict::kError, verdict::Verdict::kFail, verdict::Verdict::kInconclusive,
    verdict::Verdict::kPass, verdict::Verdict::kNone};

// A shape beside the word; none of them is one that platforms paint as a coloured picture.
std::string_view shape(verdict::Verdict v);
// Both: "✗ fail".
std::string shown(verdict::Verdict v);

// "1 scenario", "2 scenarios".
std::string counted(size_t count, std::string_view noun);

// "12 measures WHY and are not shown; ...", a line; empty for none.
std::string hidden_line(size_t hidden, std::string_view why);

// "6 scenarios: 1 error, 2 fail, 3 pass": gravest first; fail and pass are named even when there are none.
std::string scenario_tally(const verdict::Run& run);
// The same of all measures.
std::string measure_tally(const verdict::Run& run);

// Measures of one verdict that share a reason.
struct ReasonGroup {
  std::string reason;  // never empty
  size_t measures = 0;
  std::set<std::string> scenarios;
};

// The largest group first, then by reason.
std::vector<ReasonGroup> groups_by_reason(const verdict::Run& run, verdict::Verdict of);

// Beside the name of a baseline without approval.
inline constexpr std::string_view kProposedOnly = "proposed only, approved by nobody";

// Event build of the baseline, with that remark where it belongs; empty without a baseline.
std::string baseline_label(const verdict::Run& run);

// What would settle a measure that was not judged, where its reason does not say so itself; else empty.
std::string_view remedy_of(std::string_view reason);

// The one scenario by name, more as a number: "wet_stop_80", "4 scenarios".
std::string place_of(const ReasonGroup& group);

}  // namespace brakeward::report
