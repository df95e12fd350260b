// How fast the service is: build/tests/benchmark/brakeward_service_load [PROGRAM [WHAT...]], WHAT being
// latency, check, start or cancel. Wall time, on loopback, callers and service on the same processors.
#include "benchmark/service_load.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>

#include "benchmark/machine.h"
#include "document/fault.h"
#include "gate/libraries.h"

namespace brakeward::benchmark {

Spread spread_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const size_t n = values.size();
  return {values[n / 2], values[std::min(n - 1, n * 99 / 100)], values[n - 1]};
}

double now_ms() {
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

const char* against(bool met) {
  return met ? "ok" : "MISSED";
}

std::string source_file(const std::string& name) {
  return std::string(BRAKEWARD_SOURCE_DIR) + "/" + name;
}

namespace {

[[noreturn]] void give_up(const std::string& text) {
  std::printf("WRONG     %s\n", text.c_str());
  std::exit(1);
}

}  // namespace

v1::Calibration demo_candidate() {
  document::Faults faults;
  auto loaded = scenario::load_document<v1::Calibration>(
      source_file("scenarios/sorrel/calibrations/candidate_better.textproto"), faults);
  if (!faults.empty()) give_up(std::string(faults.status().message()));
  return loaded.message;
}

std::string demo_folder() {
  return source_file("scenarios/sorrel");
}

gate::Session demo_session(const std::string& library_folder) {
  auto libraries = gate::Libraries::load({library_folder}, {});
  if (!libraries.ok()) give_up(std::string(libraries.status().message()));
  document::Faults faults;
  gate::Given given;
  given.candidate = scenario::load_document<v1::Calibration>(
      source_file("scenarios/sorrel/calibrations/candidate_better.textproto"), faults);
  auto session = gate::open_session((*libraries)->all().front()->library, std::move(given), faults);
  if (!session) give_up(std::string(faults.status().message()));
  return *std::move(session);
}

namespace {

int main_load(const std::string& program, const std::vector<std::string>& wanted) {
  const auto is_wanted = [&](const char* what) {
    return wanted.empty() || std::find(wanted.begin(), wanted.end(), what) != wanted.end();
  };
  print_machine();
  return (!is_wanted("latency") || measure_latency(program)) &&
                 (!is_wanted("check") || measure_check(program)) &&
                 (!is_wanted("start") || measure_start(program)) && (!is_wanted("cancel") || measure_cancel())
             ? 0
             : 1;
}

}  // namespace
}  // namespace brakeward::benchmark

int main(int argc, char** argv) {
  return brakeward::benchmark::main_load(argc > 1 ? argv[1] : BRAKEWARD_PROGRAM,
                                         std::vector<std::string>(argv + std::min(argc, 2), argv + argc));
}
