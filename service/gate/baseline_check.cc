#include <algorithm>
#include <functional>
#include <set>

#include "gate/proposal.h"
#include "gate/session.h"

namespace brakeward::gate {
namespace {

constexpr const char* kRemake = "propose the baseline again with `brakeward baseline propose`";

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

// A document that was changed by hand after it was proposed.
std::string content_fault(const v1::Baseline& b) {
  if (b.content_sha256().empty()) return "";
  const auto content = baseline_content_sha256(b);
  if (!content.ok()) return "content_sha256: " + std::string(content.status().message());
  if (*content == b.content_sha256()) return "";
  return "content_sha256: the document says " + short_hash(b.content_sha256()) + ", its content has " +
         short_hash(*content) + ": something was changed after it was proposed; restore it, or " + kRemake;
}

// What is there twice, and values that are none.
void add_entry_faults(const v1::Baseline& b, const std::function<void(const std::string&)>& add) {
  std::set<std::string> scenarios;
  for (const auto& s : b.scenarios()) {
    const std::string at = "scenarios[\"" + s.scenario() + "\"]";
    if (!scenarios.insert(s.scenario()).second) add(at + ": there twice; keep one");
    std::set<std::string> measures;
    for (const auto& v : s.values()) {
      const std::string value = at + ".values[\"" + v.measure() + "\"]";
      if (!measures.insert(v.measure()).second) add(value + ": there twice; keep one");
      if (v.has_value() == v.never_reached())
        add(value + (v.has_value() ? ": has a value and never_reached; keep one"
                                   : ": neither value nor never_reached; give one"));
    }
  }
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
  add(content_fault(b));
  add_entry_faults(b, add);
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
