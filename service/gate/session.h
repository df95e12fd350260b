// A library with a candidate: cross-checked and ready to replay.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "absl/status/statusor.h"
#include "compile/compile.h"
#include "gate/check.h"

namespace brakeward::gate {

// Plain value; the library is shared and constant, so that many sessions may use one at a time.
struct Session {
  std::shared_ptr<const scenario::Library> library;
  scenario::Loaded<v1::Calibration> candidate;
  // The baseline's calibration, in the library; null where there is none, and the candidate stands in.
  const scenario::Loaded<v1::Calibration>* reference = nullptr;
  bool baseline_fits = false;                 // check_baseline() said so; check() then does not ask again
  verdict::Tier tier = verdict::Tier::kGate;  // what of the library is checked
  // Results of another candidate on the same car and library: how well what was on the car reproduces the
  // recordings is taken from them. Null: replayed and rated here.
  const std::vector<verdict::ScenarioResult>* reproduced = nullptr;
};

// Loads everything from files; all faults of all documents at once.
absl::StatusOr<Session> open_session(const Options& options);

// What a caller gives beside a loaded library. Documents carry resolved defaults and their hash.
struct Given {
  scenario::Loaded<v1::Calibration> candidate;
  std::optional<scenario::Loaded<v1::Vehicle>> vehicle;    // instead of the library's
  std::optional<scenario::Loaded<v1::Baseline>> baseline;  // instead of the library's
  verdict::Tier tier = verdict::Tier::kGate;
};

// The same on a library in memory; adds every cross fault to `faults` and then returns nothing. `file` of the
// documents given is the name they have in messages.
std::optional<Session> open_session(std::shared_ptr<const scenario::Library> library, Given given,
                                    document::Faults& faults);

// Adds a fault for every measure that tolerances, limits or baseline name and the catalogue does not have,
// and for every limit that holds nothing back.
void check_measure_names(const scenario::Library& library, document::Faults& faults);

// Does the baseline fit the vehicle, the numerics, the calibrations and the scenarios of the library?
// FailedPrecondition with everything that does not, one a line.
absl::Status check_baseline(const Session& session);

// FailedPrecondition without a baseline and with one that is proposed only.
absl::Status check_approved(const Session& session);

// The same of a run, or its head, with the names that library and baseline have in messages.
absl::Status check_approved(const verdict::Run& run, const std::string& library, const std::string& baseline);

// The same session with a baseline that was made for it in the library's place, under a name for messages.
// Its reference is the caller's to set.
Session with_baseline(const Session& session, const v1::Baseline& baseline, const char* name);

// The values in which one document differs from another of its type, in schema order, without names and
// remarks.
absl::StatusOr<std::vector<verdict::CalibrationChange>> changes_between(
    const google::protobuf::Message& before, const google::protobuf::Message& after);

// What a run of the session says of itself: calibration, vehicle, library, baseline, numerics; no results.
verdict::Run head_of(const Session& session);

// Of a scenario or campaign whose document says this.
verdict::Tier tier_of(v1::Tier said);

// What the session's tier takes of the library, in library order.
std::vector<const scenario::Loaded<v1::Scenario>*> scenarios_of(const Session& session);
std::vector<const scenario::Loaded<v1::Campaign>*> campaigns_of(const Session& session);
// Stints are of the endurance tier.
std::vector<const scenario::Loaded<v1::Stint>*> stints_of(const Session& session);

// Replays a check of the session takes: one a scenario, those beside it, and one more where another
// calibration was on the car; those of every campaign; a lap of a stint counts as one.
std::int64_t count_replays(const Session& session);

struct FoundScenario {
  scenario::Loaded<v1::Scenario> scenario;
  scenario::Variation variation;
};

// A scenario of the library, one of its campaigns' replays or of those beside a scenario, by name.
// InvalidArgument lists the library's.
absl::StatusOr<FoundScenario> find_scenario(const Session& session, const std::string& name);

// The calibration that was on the car when the scenario's input was recorded; null for a synthetic input,
// where the recording names none, and where the driver follows, who would answer to another car.
const scenario::Loaded<v1::Calibration>* on_the_car(const Session& session, const v1::Scenario& scenario);

// One scenario under one calibration.
absl::StatusOr<compile::CompiledScenario> compile_scenario(const Session& session,
                                                           const scenario::Loaded<v1::Scenario>& scenario,
                                                           const v1::Calibration& calibration,
                                                           const scenario::Variation& variation = {});
// The same of a scenario with faults, beside its replay without.
absl::StatusOr<compile::CompiledScenario> compile_faults(const Session& session,
                                                         const scenario::Loaded<v1::Scenario>& scenario,
                                                         const v1::Calibration& calibration,
                                                         const compile::CompiledScenario& fault_free);

// The selector changing over with both controls held; as compile::compile_change_over().
absl::StatusOr<compile::CompiledScenario> compile_change_over(const Session& session,
                                                              const scenario::Loaded<v1::Scenario>& scenario,
                                                              const v1::Calibration& calibration,
                                                              const compile::ChangeOver& change);

// The baseline's values of a scenario; null without a baseline or where it lacks the scenario.
const v1::BaselineScenario* baseline_scenario(const scenario::Library& library, const std::string& name);

// Compiles one replay after another and keeps every fault.
class Compiler {
 public:
  explicit Compiler(const Session& session) : session_(session) {}

  // Adds the replay to the list, or its fault to the faults and is false.
  bool add(const scenario::Loaded<v1::Scenario>& scenario, const v1::Calibration& calibration,
           std::vector<compile::CompiledScenario>& list);
  bool add(absl::StatusOr<compile::CompiledScenario> compiled, std::vector<compile::CompiledScenario>& list);
  void refuse(const std::string& fault) { faults_ += fault + "\n"; }
  // InvalidArgument with all faults, one a line; OK when there was none.
  absl::Status status() const;

 private:
  const Session& session_;
  std::string faults_;
};

// Hash of a scenario with everything its input is made of: its document, its recording's document and bytes.
std::string scenario_sha256(const scenario::Library& library, const scenario::Loaded<v1::Scenario>& scenario);

// Content hash of the library's index without the baseline it names.
std::string index_sha256(const scenario::Library& library);

// Hash of everything a check of the library reads: vehicle, tolerances, baseline, calibrations, scenarios
// with their recordings, campaigns and stints, in library order.
std::string library_sha256(const scenario::Library& library);

}  // namespace brakeward::gate
