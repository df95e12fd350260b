#include "rpc/prepare.h"

#include <algorithm>

#include "absl/strings/str_replace.h"
#include "document/check.h"
#include "document/content_hash.h"
#include "document/defaults.h"
#include "gate/run_message.h"
#include "rpc/errors.h"

namespace brakeward::rpc {
namespace {

constexpr std::string_view kLibraries = "libraries/";
constexpr size_t kLongestBuild = 200;

bool is_hash(const std::string& text) {
  return text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

void want_hash(const char* field, const std::string& text, document::Faults& faults) {
  if (is_hash(text)) return;
  faults.add({"", 0, 0, field, "is no content hash; give 64 lower-case hexadecimal digits"});
}

void want_library(const std::string& name, document::Faults& faults) {
  if (name.empty() ||
      (name.size() > kLibraries.size() && name.compare(0, kLibraries.size(), kLibraries) == 0))
    return;
  faults.add({"", 0, 0, "library", "is no resource name of a library; write libraries/<name>"});
}

// What both requests have in common, beyond the rules of the schema.
template <class Request>
document::Faults faults_of(const Request& request) {
  document::CheckContext context;
  context.excused = {"vehicle_choice", "baseline_choice"};
  document::Faults faults = document::check(request, context);
  want_library(request.library(), faults);
  if (!request.library_sha256().empty()) want_hash("library_sha256", request.library_sha256(), faults);
  if (request.candidate_case() == Request::kCalibrationSha256)
    want_hash("calibration_sha256", request.calibration_sha256(), faults);
  if (request.vehicle_choice_case() == Request::kVehicleSha256)
    want_hash("vehicle_sha256", request.vehicle_sha256(), faults);
  return faults;
}

void check_event_build(const std::string& build, document::Faults& faults) {
  if (build == "*")
    faults.add({"", 0, 0, "event_build", "\"*\" stands for any event build; give the build's own name"});
  if (build.size() > kLongestBuild)
    faults.add({"", 0, 0, "event_build",
                "has " + std::to_string(build.size()) + " bytes; give a name of at most " +
                    std::to_string(kLongestBuild)});
}

// A document of the request, `name` being its field.
template <class Message>
absl::StatusOr<scenario::Loaded<Message>> loaded(const char* name, Message message) {
  document::resolve_defaults(&message);
  auto hash = document::content_sha256(message);
  if (!hash.ok()) return invalid({{name, std::string(hash.status().message())}});
  return scenario::Loaded<Message>{name, std::move(message), *std::move(hash)};
}

template <class List>
std::vector<std::string> hashes_of(const List& list) {
  std::vector<std::string> out;
  for (const auto& item : list) out.push_back(item.sha256);
  return out;
}

template <class Request>
absl::StatusOr<gate::Given> given_by(const Request& request, const scenario::Library& library) {
  gate::Given given;
  if (request.has_calibration()) {
    auto candidate = loaded("calibration", request.calibration());
    if (!candidate.ok()) return candidate.status();
    given.candidate = *std::move(candidate);
  } else {
    const auto* held = library.calibration_hashed(request.calibration_sha256());
    if (!held)
      return not_found("CALIBRATION_NOT_FOUND", "calibration", request.calibration_sha256(),
                       hashes_of(library.calibrations));
    given.candidate = *held;
  }
  if (request.has_vehicle()) {
    auto vehicle = loaded("vehicle", request.vehicle());
    if (!vehicle.ok()) return vehicle.status();
    if (vehicle->sha256 != library.vehicle.sha256) given.vehicle = *std::move(vehicle);
  } else if (request.vehicle_choice_case() == Request::kVehicleSha256 &&
             request.vehicle_sha256() != library.vehicle.sha256) {
    return not_found("VEHICLE_NOT_FOUND", "vehicle", request.vehicle_sha256(), {library.vehicle.sha256});
  }
  return given;
}

absl::Status choose_baseline(const v1::CheckRequest& request, const scenario::Library& library,
                             gate::History& history, gate::Given& given) {
  if (request.has_baseline()) {
    auto baseline = loaded("baseline", request.baseline());
    if (!baseline.ok()) return baseline.status();
    given.baseline = *std::move(baseline);
  } else if (request.baseline_choice_case() == v1::CheckRequest::kBaselineSha256) {
    if (library.baseline && library.baseline->sha256 == request.baseline_sha256()) return absl::OkStatus();
    auto kept = history.baseline(request.baseline_sha256());
    if (absl::IsNotFound(kept.status())) {
      std::vector<std::string> own;
      if (library.baseline) own.push_back(library.baseline->sha256);
      return not_found("BASELINE_NOT_FOUND", "baseline", request.baseline_sha256(), own);
    }
    if (!kept.ok()) return history_failed(kept.status().code());
    given.baseline = scenario::Loaded<v1::Baseline>{"baseline", *std::move(kept), request.baseline_sha256()};
  }
  return absl::OkStatus();
}

absl::StatusOr<gate::Session> open(std::shared_ptr<const scenario::Library> library, gate::Given given) {
  document::Faults faults;
  auto session = gate::open_session(library, std::move(given), faults);
  if (session) return *std::move(session);
  for (auto& fault : faults.list) {
    fault.file = without_paths(*library, fault.file);
    fault.text = without_paths(*library, fault.text);
  }
  return invalid(faults);
}

template <class Request>
absl::StatusOr<std::shared_ptr<const gate::HeldLibrary>> wanted_library(const Request& request,
                                                                        const gate::Libraries& libraries) {
  auto held = find_library(libraries, request.library());
  if (!held.ok()) return held;
  if (!request.library_sha256().empty() && request.library_sha256() != (*held)->sha256)
    return library_changed(request.library(), request.library_sha256(), (*held)->sha256);
  return held;
}

}  // namespace

absl::StatusOr<std::shared_ptr<const gate::HeldLibrary>> find_library(const gate::Libraries& libraries,
                                                                      const std::string& resource_name) {
  if (resource_name.compare(0, kLibraries.size(), kLibraries) == 0)
    if (auto held = libraries.find(std::string_view(resource_name).substr(kLibraries.size()))) return held;
  std::vector<std::string> names;
  for (const auto& held : libraries.all()) names.push_back(std::string(kLibraries) + held->name());
  return not_found("LIBRARY_NOT_FOUND", "library", resource_name, names);
}

absl::StatusOr<gate::Session> prepare_check(const v1::CheckRequest& request, const gate::Libraries& libraries,
                                            gate::History& history) {
  document::Faults faults = faults_of(request);
  if (request.baseline_choice_case() == v1::CheckRequest::kBaselineSha256)
    want_hash("baseline_sha256", request.baseline_sha256(), faults);
  check_event_build(request.event_build(), faults);
  if (!faults.empty()) return invalid(faults);
  const auto held = wanted_library(request, libraries);
  if (!held.ok()) return held.status();
  const auto& library = (*held)->library;
  auto given = given_by(request, *library);
  if (!given.ok()) return given.status();
  given->tier = gate::to_tier(request.tier()).value_or(verdict::Tier::kGate);
  if (absl::Status status = choose_baseline(request, *library, history, *given); !status.ok()) return status;
  auto session = open(library, *std::move(given));
  if (!session.ok()) return session;
  if (const absl::Status fits = gate::check_baseline(*session); !fits.ok())
    return baseline_misfit(without_paths(*library, std::string(fits.message())),
                           without_paths(*library, session->library->baseline->file.string()));
  session->baseline_fits = true;
  return session;
}

absl::StatusOr<gate::Session> prepare_replay(const v1::ReplayRequest& request,
                                             const gate::Libraries& libraries) {
  const document::Faults faults = faults_of(request);
  if (!faults.empty()) return invalid(faults);
  const auto held = wanted_library(request, libraries);
  if (!held.ok()) return held.status();
  const auto& library = (*held)->library;
  auto given = given_by(request, *library);
  if (!given.ok()) return given.status();
  return open(library, *std::move(given));
}

std::string without_paths(const scenario::Library& library, std::string text) {
  const std::string folder = (library.folder / "").string();
  return absl::StrReplaceAll(text, {{folder, ""}});
}

}  // namespace brakeward::rpc
