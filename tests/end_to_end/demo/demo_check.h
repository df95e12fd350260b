// Checks a calibration of a demo library with the program, and reads what came out.
#pragma once

#include <nlohmann/json.hpp>
#include <set>
#include <string>

namespace brakeward::demo {

struct Outcome {
  int exit_code = -1;
  nlohmann::json run;  // as --json writes it
  std::string first;   // "measure in scenario" of the first failure of the JUnit file, the gravest
};

// `car` is a folder under scenarios/, `calibration` a file under its calibrations/, without the extension.
Outcome check(const std::string& car, const std::string& calibration, const std::string& tier = "gate");

// Everything that failed.
struct Failures {
  std::set<std::string> all;        // "measure in scenario"
  std::set<std::string> measures;   //
  std::set<std::string> scenarios;  //
  std::string worst;                // the measure that used most of its tolerance
};
Failures failures_of(const nlohmann::json& run);

// `which` is "value" or "baseline"; a failed expectation and 0 when there is none.
double value_of(const nlohmann::json& run, const std::string& scenario, const std::string& measure,
                const char* which);

// That the measure of the run is less than its baseline.
void expect_less_than_baseline(const nlohmann::json& run, const std::string& scenario,
                               const std::string& measure);

}  // namespace brakeward::demo
