// A library with a candidate: loaded, cross-checked and compiled. Internal to the gate.
#pragma once

#include <vector>

#include "absl/status/statusor.h"
#include "compile/compile.h"
#include "gate/check.h"

namespace brakeward::gate {

struct Session {
  scenario::Library library;
  scenario::Loaded<v1::Calibration> candidate;
  const scenario::Loaded<v1::Calibration>* reference =
      nullptr;  // the baseline's; the candidate where there is none
};

// Loads everything; all faults of all documents at once.
absl::StatusOr<Session> open_session(const Options& options);

// Adds a fault for every measure that tolerances or limits name and the catalogue does not have.
void check_measure_names(const scenario::Library& library, document::Faults& faults);

// Does the baseline fit the vehicle, the numerics, the calibrations and the scenarios of the library?
// FailedPrecondition with everything that does not, one a line.
absl::Status check_baseline(const Session& session);

// One scenario under one calibration.
absl::StatusOr<compile::CompiledScenario> compile_scenario(const Session& session,
                                                           const scenario::Loaded<v1::Scenario>& scenario,
                                                           const v1::Calibration& calibration);

// The baseline's values of a scenario; null without a baseline or where it lacks the scenario.
const v1::BaselineScenario* baseline_scenario(const scenario::Library& library, const std::string& name);

// Compiles one replay after another and keeps every fault.
class Compiler {
 public:
  explicit Compiler(const Session& session) : session_(session) {}

  // Adds the replay to the list, or its fault to the faults.
  void add(const scenario::Loaded<v1::Scenario>& scenario, const v1::Calibration& calibration,
           std::vector<compile::CompiledScenario>& list);
  // InvalidArgument with all faults, one a line; OK when there was none.
  absl::Status status() const;

 private:
  const Session& session_;
  std::string faults_;
};

// Replays them with the options' threads, cancellation and progress; folds in the same order.
absl::StatusOr<std::vector<measure::Folds<double>>> replay_compiled(
    const std::vector<const compile::CompiledScenario*>& compiled, const Options& options);

// Hash of a scenario with everything its input is made of: its document, its recording's document and bytes.
std::string scenario_sha256(const scenario::Library& library, const scenario::Loaded<v1::Scenario>& scenario);

}  // namespace brakeward::gate
