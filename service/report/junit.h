// The run as JUnit XML, for the test views of CI servers.
#pragma once

#include <string>
#include <string_view>

#include "verdict/run.h"

namespace brakeward::report {

// testsuites > one testsuite a scenario > one testcase a measure, classname "library.scenario". fail is a
// failure, error an error, none and inconclusive are skipped with the reason; the message of an inconclusive
// one begins with that word. A scenario whose verdict is graver than its measures' gets a testcase "scenario"
// of its own, and a run graver than its scenarios a testsuite "run", so that no red run reads green. Order:
// severity, tolerance used, name.
//
// `timestamp` is ISO 8601 without a zone and left out when empty; nothing else depends on when or where this
// runs. Text is XML 1.0: characters it forbids become U+FFFD.
std::string render_junit(const verdict::Run& run, std::string_view timestamp);

}  // namespace brakeward::report
