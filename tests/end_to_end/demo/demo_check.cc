#include "end_to_end/demo/demo_check.h"

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <regex>

#include "files.h"
#include "temporary_folder.h"

namespace brakeward::demo {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

// As deploy/demo.sh reads it: the first test case with a failure or an error.
std::string first_failure(const std::string& junit) {
  static const std::regex either(
      R"re(<testcase name="([^"]*)" classname="[^".]*\.([^"]*)"|<(failure|error) )re");
  std::string last;
  for (std::sregex_iterator it(junit.begin(), junit.end(), either), end; it != end; ++it) {
    if ((*it)[3].matched) return last;
    last = (*it)[1].str() + " in " + (*it)[2].str();
  }
  return "-";
}

}  // namespace

Outcome check(const std::string& car, const std::string& calibration, const std::string& tier) {
  const fs::path library = fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / car;
  const tests::TemporaryFolder folder;
  const fs::path run = folder.file("run.json"), junit = folder.file("run.xml");
  const std::string command = std::string("'") + BRAKEWARD_PROGRAM + "' check --tier " + tier +
                              " --library '" + library.string() + "' --calibration '" +
                              (library / "calibrations" / calibration).string() + ".textproto' --json '" +
                              run.string() + "' --junit '" + junit.string() + "' > /dev/null";
  const int status = std::system(command.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, json::parse(tests::read_file(run), nullptr, false),
          first_failure(tests::read_file(junit))};
}

Failures failures_of(const json& run) {
  Failures out;
  double most = 0;
  for (const json& scenario : run.at("scenarios"))
    for (const json& measure : scenario.at("measures")) {
      if (measure.at("verdict") != "VERDICT_FAIL") continue;
      const std::string name = measure.at("measure"), where = scenario.at("scenario");
      out.all.insert(name + " in " + where);
      out.measures.insert(name);
      out.scenarios.insert(where);
      const double used = measure.value("tolerance_used", 0.0);
      if (used > most) out.worst = name, most = used;
    }
  return out;
}

double value_of(const json& run, const std::string& scenario, const std::string& measure, const char* which) {
  for (const json& s : run.at("scenarios"))
    if (s.at("scenario") == scenario)
      for (const json& m : s.at("measures"))
        if (m.at("measure") == measure && m.contains(which)) return m.at(which);
  ADD_FAILURE() << "no " << which << " of " << measure << " in " << scenario;
  return 0;
}

void expect_less_than_baseline(const json& run, const std::string& scenario, const std::string& measure) {
  EXPECT_LT(value_of(run, scenario, measure, "value"), value_of(run, scenario, measure, "baseline"))
      << measure << " in " << scenario;
}

}  // namespace brakeward::demo
