// Counts and groups that several views print.
#pragma once

#include <cstddef>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "verdict/run.h"

namespace brakeward::report {

// "1 scenario", "2 scenarios".
std::string counted(size_t count, std::string_view noun);

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

// The one scenario by name, more as a number: "wet_stop_80", "4 scenarios".
std::string place_of(const ReasonGroup& group);

}  // namespace brakeward::report
