#include <algorithm>

#include "gate/session.h"

namespace brakeward::gate {
namespace {

constexpr const char* kRemake = "make the baseline again with `brakeward baseline`";

std::string short_hash(const std::string& sha256) {
  return sha256.substr(0, 12) + "...";
}

std::string numerics_fault(const v1::Baseline& b) {
  if (b.numerics_version() == replay::kNumericsVersion) return "";
  return "numerics_version: made by numerics " + std::to_string(b.numerics_version()) +
         ", this program has " + std::to_string(replay::kNumericsVersion) +
         "; values of different numerics are never compared: " + kRemake;
}

std::string vehicle_fault(const v1::Baseline& b, const scenario::Loaded<v1::Vehicle>& vehicle) {
  if (b.vehicle_sha256() == vehicle.sha256) return "";
  return "vehicle_sha256: made with another vehicle (" + short_hash(b.vehicle_sha256()) + ") than " +
         vehicle.file.string() + " (" + short_hash(vehicle.sha256) +
         "); check against the vehicle it was made with, or " + kRemake;
}

std::string calibration_fault(const v1::Baseline& b, bool found) {
  if (found) return "";
  return "calibration_sha256: no calibration of the library has the content " +
         short_hash(b.calibration_sha256()) + " of \"" + b.calibration_name() +
         "\"; list that calibration under calibration_files, or " + kRemake;
}

// Why a scenario of the library is not in the baseline as it is now.
std::string scenario_fault(const scenario::Library& lib, const scenario::Loaded<v1::Scenario>& scenario) {
  const v1::BaselineScenario* b = baseline_scenario(lib, scenario.message.name());
  if (!b) return std::string("the baseline lacks this scenario; ") + kRemake;
  if (b->scenario_sha256() == scenario_sha256(lib, scenario)) return "";
  return "the scenario or its recording has changed since the baseline was made (" + scenario.file.string() +
         "); restore it, or " + kRemake;
}

bool has_scenario(const scenario::Library& lib, const std::string& name) {
  return std::any_of(lib.scenarios.begin(), lib.scenarios.end(),
                     [&](const auto& s) { return s.message.name() == name; });
}

}  // namespace

const v1::BaselineScenario* baseline_scenario(const scenario::Library& library, const std::string& name) {
  if (!library.baseline) return nullptr;
  for (const auto& b : library.baseline->message.scenarios())
    if (b.scenario() == name) return &b;
  return nullptr;
}

absl::Status check_baseline(const Session& s) {
  const auto& baseline = s.library->baseline;
  if (!baseline) return absl::OkStatus();
  const v1::Baseline& b = baseline->message;
  std::string faults;
  const auto add = [&](const std::string& text) {
    if (!text.empty()) faults += baseline->file.string() + ": " + text + "\n";
  };
  const auto add_scenario = [&](const std::string& name, const std::string& text) {
    if (!text.empty()) add("scenarios[\"" + name + "\"]: " + text);
  };
  add(numerics_fault(b));
  add(vehicle_fault(b, s.library->vehicle));
  add(calibration_fault(b, s.reference != nullptr));
  for (const auto& scenario : s.library->scenarios)
    add_scenario(scenario.message.name(), scenario_fault(*s.library, scenario));
  for (const auto& scenario : b.scenarios())
    if (!has_scenario(*s.library, scenario.scenario()))
      add_scenario(
          scenario.scenario(),
          std::string("the library no longer has this scenario, so that nothing would judge it; list "
                      "its file under scenario_files, or ") +
              kRemake);
  return faults.empty() ? absl::OkStatus() : absl::FailedPreconditionError(faults);
}

}  // namespace brakeward::gate
