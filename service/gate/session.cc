#include "gate/session.h"

#include <set>

#include "compile/check_vehicle.h"
#include "document/content_hash.h"
#include "document/diff.h"
#include "document/fault.h"
#include "document/sha256.h"
#include "gate/build_sheet.h"
#include "gate/campaign.h"
#include "gate/stint.h"
#include "scenario/references.h"

namespace brakeward::gate {
namespace {

// Fields that say who a document is, not what the brakes do.
bool is_label(const std::string& address) {
  return address == "name" || address == "event_build" || address == "remark" || address == "provenance";
}

// A document that is read twice (a candidate that the library lists too, a channel map that recordings share)
// is told about once.
void drop_repeats(document::Faults& faults) {
  std::set<std::string> told;
  std::erase_if(faults.list, [&](const auto& fault) { return !told.insert(document::render(fault)).second; });
}

const scenario::Loaded<v1::Calibration>* reference_of(const scenario::Library& library) {
  if (!library.baseline) return nullptr;
  return library.calibration_hashed(library.baseline->message.calibration_sha256());
}

compile::Sources sources_of(const Session& session, const scenario::Loaded<v1::Scenario>& scenario,
                            const v1::Calibration& calibration, const scenario::Variation& variation = {}) {
  const scenario::LoadedRecording* recording =
      scenario.message.has_recorded()
          ? session.library->recording_named(scenario.message.recorded().recording())
          : nullptr;
  const v1::Calibration& reference =
      session.reference ? session.reference->message : session.candidate.message;
  return {session.library->vehicle.message,      calibration, reference, scenario.message,
          recording ? &recording->log : nullptr, variation};
}

// A failure with the scenario's document before it.
absl::StatusOr<compile::CompiledScenario> with_file(const scenario::Loaded<v1::Scenario>& scenario,
                                                    absl::StatusOr<compile::CompiledScenario> compiled) {
  if (compiled.ok()) return compiled;
  return absl::InvalidArgumentError(scenario.file.string() + ": " + std::string(compiled.status().message()));
}

template <class Message>
std::vector<const scenario::Loaded<Message>*> of_tier(const std::vector<scenario::Loaded<Message>>& all,
                                                      verdict::Tier tier) {
  std::vector<const scenario::Loaded<Message>*> out;
  for (const auto& item : all) {
    if (tier == verdict::Tier::kAll || tier_of(item.message.tier()) == tier) out.push_back(&item);
  }
  return out;
}

}  // namespace

absl::StatusOr<Session> open_session(const Options& options) {
  document::Faults faults;
  auto library =
      std::make_shared<scenario::Library>(scenario::load_library(options.library, options.load, faults));
  const bool loaded = faults.empty();
  Session s;
  if (!options.calibration.empty()) {
    document::Faults own;
    s.candidate = scenario::load_document<v1::Calibration>(options.calibration, own);
    const bool readable = own.empty();
    faults.append(own);
    if (readable && loaded) scenario::check_calibration(*library, s.candidate, faults);
  }
  if (loaded) {
    compile::check_vehicle(library->vehicle.message, library->vehicle.file.string(), faults);
    check_measure_names(*library, faults);
  }
  drop_repeats(faults);
  if (!faults.empty()) return faults.status();
  s.tier = options.tier;
  s.reference = reference_of(*library);
  s.library = std::move(library);
  return s;
}

std::optional<Session> open_session(std::shared_ptr<const scenario::Library> library, Given given,
                                    document::Faults& faults) {
  if (given.vehicle || given.baseline) {
    auto changed = std::make_shared<scenario::Library>(*library);
    if (given.vehicle) changed->vehicle = *std::move(given.vehicle);
    if (given.baseline) changed->baseline = std::move(given.baseline);
    scenario::check_references(*changed, faults);
    compile::check_vehicle(changed->vehicle.message, changed->vehicle.file.string(), faults);
    library = std::move(changed);
  }
  Session s;
  s.tier = given.tier;
  s.candidate = std::move(given.candidate);
  scenario::check_calibration(*library, s.candidate, faults);
  drop_repeats(faults);
  if (!faults.empty()) return std::nullopt;
  s.reference = reference_of(*library);
  s.library = std::move(library);
  return s;
}

Session with_baseline(const Session& session, const v1::Baseline& baseline, const char* name) {
  auto library = std::make_shared<scenario::Library>(*session.library);
  library->baseline = scenario::Loaded<v1::Baseline>{name, baseline, ""};
  Session out = session;
  out.library = std::move(library);
  out.baseline_fits = true;
  return out;
}

absl::StatusOr<std::vector<verdict::CalibrationChange>> changes_between(
    const google::protobuf::Message& before, const google::protobuf::Message& after) {
  const auto differences = document::diff(before, after);
  if (!differences.ok()) return differences.status();
  std::vector<verdict::CalibrationChange> out;
  for (const auto& d : *differences)
    if (!is_label(d.address)) out.push_back({d.address, d.before, d.after});
  return out;
}

verdict::Run head_of(const Session& session) {
  verdict::Run run;
  run.calibration_name = session.candidate.message.name();
  run.calibration_sha256 = session.candidate.sha256;
  run.vehicle_name = session.library->vehicle.message.name();
  run.vehicle_sha256 = session.library->vehicle.sha256;
  run.library_name = session.library->index.name();
  const auto& baseline = session.library->baseline;
  if (baseline) {
    run.baseline_event_build = baseline->message.event_build();
    run.baseline_proposed_only = baseline->message.approved_by().empty();
  }
  run.numerics_version = replay::kNumericsVersion;
  run.tier = session.tier;
  run.build_sheet = lines_of(session.library->vehicle.message.build_sheet());
  run.build_sheet_differences = differences_of(session);
  return run;
}

verdict::Tier tier_of(v1::Tier said) {
  return said == v1::TIER_ENDURANCE ? verdict::Tier::kEndurance : verdict::Tier::kGate;
}

std::vector<const scenario::Loaded<v1::Scenario>*> scenarios_of(const Session& session) {
  return of_tier(session.library->scenarios, session.tier);
}

std::vector<const scenario::Loaded<v1::Campaign>*> campaigns_of(const Session& session) {
  return of_tier(session.library->campaigns, session.tier);
}

std::vector<const scenario::Loaded<v1::Stint>*> stints_of(const Session& session) {
  std::vector<const scenario::Loaded<v1::Stint>*> out;
  if (session.tier != verdict::Tier::kGate)
    for (const auto& stint : session.library->stints) out.push_back(&stint);
  return out;
}

std::int64_t count_replays(const Session& session) {
  std::int64_t count = 0;
  for (const auto* scenario : scenarios_of(session)) {
    const auto* fitted = on_the_car(session, scenario->message);
    count += fitted && fitted->sha256 != session.candidate.sha256 ? 2 : 1;
    count += scenario::count_variants(scenario->message);
  }
  for (const auto* campaign : campaigns_of(session)) count += count_all_replays(campaign->message);
  for (const auto* stint : stints_of(session)) count += stint->message.laps();
  return count;
}

const scenario::Loaded<v1::Calibration>* on_the_car(const Session& session, const v1::Scenario& scenario) {
  if (!scenario.has_recorded() || scenario.has_follow()) return nullptr;
  const auto* recording = session.library->recording_named(scenario.recorded().recording());
  return session.library->calibration_named(recording->message.calibration());
}

absl::StatusOr<compile::CompiledScenario> compile_scenario(const Session& session,
                                                           const scenario::Loaded<v1::Scenario>& scenario,
                                                           const v1::Calibration& calibration,
                                                           const scenario::Variation& variation) {
  return with_file(scenario, compile::compile(sources_of(session, scenario, calibration, variation)));
}

absl::StatusOr<compile::CompiledScenario> compile_faults(const Session& session,
                                                         const scenario::Loaded<v1::Scenario>& scenario,
                                                         const v1::Calibration& calibration,
                                                         const compile::CompiledScenario& fault_free) {
  return with_file(scenario, compile::compile_faults(sources_of(session, scenario, calibration), fault_free));
}

absl::StatusOr<compile::CompiledScenario> compile_change_over(const Session& session,
                                                              const scenario::Loaded<v1::Scenario>& scenario,
                                                              const v1::Calibration& calibration,
                                                              const compile::ChangeOver& change) {
  return with_file(scenario,
                   compile::compile_change_over(sources_of(session, scenario, calibration), change));
}

bool Compiler::add(const scenario::Loaded<v1::Scenario>& scenario, const v1::Calibration& calibration,
                   std::vector<compile::CompiledScenario>& list) {
  return add(compile_scenario(session_, scenario, calibration), list);
}

bool Compiler::add(absl::StatusOr<compile::CompiledScenario> compiled,
                   std::vector<compile::CompiledScenario>& list) {
  if (compiled.ok())
    list.push_back(*std::move(compiled));
  else
    refuse(std::string(compiled.status().message()));
  return compiled.ok();
}

absl::Status Compiler::status() const {
  return faults_.empty() ? absl::OkStatus() : absl::InvalidArgumentError(faults_);
}

std::string scenario_sha256(const scenario::Library& library,
                            const scenario::Loaded<v1::Scenario>& scenario) {
  std::string all = scenario.sha256;
  if (scenario.message.has_recorded())
    if (const auto* r = library.recording_named(scenario.message.recorded().recording()))
      all += "\n" + r->sha256 + "\n" + r->file_sha256;
  return document::sha256_hex(all);
}

std::string index_sha256(const scenario::Library& library) {
  v1::Library index = library.index;
  index.clear_baseline_file();
  return document::content_sha256(index).value_or("");
}

std::string library_sha256(const scenario::Library& library) {
  std::string all = "name " + library.index.name() + "\nvehicle " + library.vehicle.sha256 + "\ntolerances " +
                    library.tolerances.sha256 + "\n";
  if (library.baseline) all += "baseline " + library.baseline->sha256 + "\n";
  for (const auto& c : library.calibrations) all += "calibration " + c.sha256 + "\n";
  for (const auto& s : library.scenarios) all += "scenario " + scenario_sha256(library, s) + "\n";
  for (const auto& c : library.campaigns) all += "campaign " + campaign_sha256(library, c) + "\n";
  for (const auto& s : library.stints) all += "stint " + stint_sha256(library, s) + "\n";
  return document::sha256_hex(all);
}

}  // namespace brakeward::gate
