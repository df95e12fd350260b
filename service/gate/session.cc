#include "gate/session.h"

#include "document/fault.h"
#include "document/sha256.h"
#include "scenario/references.h"

namespace brakeward::gate {

absl::StatusOr<Session> open_session(const Options& options) {
  Session s;
  document::Faults faults;
  s.library = scenario::load_library(options.library, options.load, faults);
  if (!options.calibration.empty()) {
    document::Faults own;
    s.candidate = scenario::load_document<v1::Calibration>(options.calibration, own);
    const bool readable = own.empty();
    faults.append(own);
    if (readable && faults.empty()) scenario::check_calibration(s.library, s.candidate, faults);
  }
  if (faults.empty()) check_measure_names(s.library, faults);
  if (!faults.empty()) return faults.status();
  if (s.library.baseline)
    s.reference = s.library.calibration_hashed(s.library.baseline->message.calibration_sha256());
  return s;
}

absl::Status check_baseline(const Session& s) {
  if (!s.library.baseline) return absl::OkStatus();
  const v1::Baseline& b = s.library.baseline->message;
  const std::string file = s.library.baseline->file.string();
  if (b.numerics_version() != replay::kNumericsVersion)
    return absl::FailedPreconditionError(
        file + ": numerics_version: made by numerics " + std::to_string(b.numerics_version()) +
        ", this program has " + std::to_string(replay::kNumericsVersion) +
        "; values of different numerics are never compared. Make the baseline again "
        "with `brakeward baseline`");
  if (b.vehicle_sha256() != s.library.vehicle.sha256)
    return absl::FailedPreconditionError(
        file + ": vehicle_sha256: made with another vehicle (" + b.vehicle_sha256().substr(0, 12) +
        "...) than " + s.library.vehicle.file.string() + " (" + s.library.vehicle.sha256.substr(0, 12) +
        "...). Check against the vehicle it was made with, or make the baseline again with `brakeward "
        "baseline`");
  if (!s.reference)
    return absl::FailedPreconditionError(
        file + ": calibration_sha256: no calibration of the library has the content " +
        b.calibration_sha256().substr(0, 12) + "... of \"" + b.calibration_name() +
        "\". List that calibration under calibration_files, or make the baseline again with `brakeward "
        "baseline`");
  return absl::OkStatus();
}

absl::StatusOr<compile::CompiledScenario> compile_scenario(const Session& session,
                                                           const scenario::Loaded<v1::Scenario>& scenario,
                                                           const v1::Calibration& calibration) {
  const scenario::LoadedRecording* recording =
      scenario.message.has_recorded()
          ? session.library.recording_named(scenario.message.recorded().recording())
          : nullptr;
  const v1::Calibration& reference =
      session.reference ? session.reference->message : session.candidate.message;
  auto out = compile::compile({session.library.vehicle.message, calibration, reference, scenario.message,
                               recording ? &recording->log : nullptr});
  if (out.ok()) return out;
  return absl::InvalidArgumentError(scenario.file.string() + ": " + std::string(out.status().message()));
}

std::string scenario_sha256(const scenario::Library& library,
                            const scenario::Loaded<v1::Scenario>& scenario) {
  std::string all = scenario.sha256;
  if (scenario.message.has_recorded())
    if (const auto* r = library.recording_named(scenario.message.recorded().recording()))
      all += "\n" + r->sha256 + "\n" + r->file_sha256;
  return document::sha256_hex(all);
}

}  // namespace brakeward::gate
