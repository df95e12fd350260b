#include "gate/session.h"

#include <set>

#include "document/fault.h"
#include "document/sha256.h"
#include "scenario/references.h"

namespace brakeward::gate {
namespace {

// A document that is read twice (a candidate that the library lists too, a channel map that recordings share)
// is told about once.
void drop_repeats(document::Faults& faults) {
  std::set<std::string> told;
  std::erase_if(faults.list, [&](const auto& fault) { return !told.insert(document::render(fault)).second; });
}

}  // namespace

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
  drop_repeats(faults);
  if (!faults.empty()) return faults.status();
  if (s.library.baseline)
    s.reference = s.library.calibration_hashed(s.library.baseline->message.calibration_sha256());
  return s;
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

void Compiler::add(const scenario::Loaded<v1::Scenario>& scenario, const v1::Calibration& calibration,
                   std::vector<compile::CompiledScenario>& list) {
  auto compiled = compile_scenario(session_, scenario, calibration);
  if (compiled.ok())
    list.push_back(*std::move(compiled));
  else
    faults_ += std::string(compiled.status().message()) + "\n";
}

absl::Status Compiler::status() const {
  return faults_.empty() ? absl::OkStatus() : absl::InvalidArgumentError(faults_);
}

absl::StatusOr<std::vector<measure::Folds<double>>> replay_compiled(
    const std::vector<const compile::CompiledScenario*>& compiled, const Options& options) {
  std::vector<const replay::ReplayPlan*> plans;
  for (const auto* c : compiled) plans.push_back(&c->plan);
  replay::Options how;
  how.threads = options.threads;
  how.cancel = options.cancel;
  if (options.progress) how.progress = [&](size_t done) { options.progress(done, plans.size()); };
  std::vector<measure::Folds<double>> folds;
  if (absl::Status status = replay::run(plans, how, folds); !status.ok()) return status;
  return folds;
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
