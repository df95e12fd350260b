#include "app/check_remote.h"

#include <cstdlib>

#include "brakeward/v1/baseline.pb.h"
#include "gate/session.h"
#include "rpc/client.h"
#include "scenario/library.h"
#include "verdict/concat.h"

namespace brakeward::app {
namespace {

// The hash of a library as its folder has it, whatever stands in for its vehicle and baseline.
absl::StatusOr<std::string> hash_of(const LibraryOptions& given, const scenario::Library& library) {
  if (given.vehicle.empty() && given.baseline.empty()) return gate::library_sha256(library);
  scenario::Library own = library;
  document::Faults faults;
  if (!given.vehicle.empty())
    own.vehicle = scenario::load_document<v1::Vehicle>(own.folder / own.index.vehicle_file(), faults);
  if (!given.baseline.empty()) {
    own.baseline.reset();
    if (const std::string& file = own.index.baseline_file(); !file.empty())
      own.baseline = scenario::load_document<v1::Baseline>(own.folder / file, faults);
  }
  if (!faults.empty()) return faults.status();
  return gate::library_sha256(own);
}

absl::StatusOr<rpc::RemoteCheck> request_of_folder(const ServerCheck& check) {
  auto session = gate::open_session(gate_options(check.library, check.calibration));
  if (!session.ok()) return session.status();
  if (absl::Status status = gate::check_baseline(*session); !status.ok()) return status;
  if (check.require_approved)
    if (absl::Status status = gate::check_approved(*session); !status.ok()) return status;
  auto sha256 = hash_of(check.library, *session->library);
  if (!sha256.ok()) return sha256.status();
  rpc::RemoteCheck request;
  request.library = session->library->index.name();
  request.library_sha256 = *std::move(sha256);
  request.calibration = session->candidate.message;
  if (!check.library.vehicle.empty()) request.vehicle = session->library->vehicle.message;
  if (const auto& baseline = session->library->baseline; baseline && !check.library.baseline.empty())
    request.baseline = baseline->message;
  return request;
}

// The environment may name a folder of logs for other checks of the same shell.
bool is_given(const std::string& recordings) {
  const char* usual = std::getenv("BRAKEWARD_RECORDINGS");
  return !recordings.empty() && (usual == nullptr || recordings != usual);
}

absl::StatusOr<rpc::RemoteCheck> request_of_name(const ServerCheck& check) {
  if (check.library.library.find('/') != std::string::npos)
    return absl::NotFoundError(
        verdict::concat(check.library.library,
                        ": holds no library.textproto and is no name of a library; give a folder of this "
                        "machine, or the name of a library the service holds"));
  if (is_given(check.library.recordings))
    return absl::InvalidArgumentError(verdict::concat(
        "--recordings says where a library's logs lie on this machine, but \"", check.library.library,
        "\" is no folder here; leave it out, or name the library's folder"));
  document::Faults faults;
  rpc::RemoteCheck request;
  request.library = check.library.library;
  request.calibration = scenario::load_document<v1::Calibration>(check.calibration, faults).message;
  if (!check.library.vehicle.empty())
    request.vehicle = scenario::load_document<v1::Vehicle>(check.library.vehicle, faults).message;
  if (!check.library.baseline.empty())
    request.baseline = scenario::load_document<v1::Baseline>(check.library.baseline, faults).message;
  if (!faults.empty()) return faults.status();
  return request;
}

}  // namespace

absl::StatusOr<RemoteRun> check_at_server(const ServerCheck& check) {
  std::error_code ignored;
  const bool is_here =
      std::filesystem::exists(std::filesystem::path(check.library.library) / "library.textproto", ignored);
  auto request = is_here ? request_of_folder(check) : request_of_name(check);
  if (!request.ok()) return request.status();
  request->event_build = check.event_build;
  request->tier = check.tier;
  rpc::Connection connection;
  connection.address = check.server.address;
  connection.authority = check.server.tls_authority;
  connection.certificate = check.server.tls_certificate;
  connection.private_key = check.server.tls_key;
  connection.deadline_s = check.server.deadline_s;
  RemoteRun out;
  rpc::Events events;
  events.progress = check.progress;
  events.notice = [&](const std::string& notice) { out.notice = notice; };
  auto run = rpc::check(connection, *request, events);
  if (!run.ok()) return run.status();
  if (check.require_approved)
    // Of the baseline that the service had.
    if (absl::Status status = gate::check_approved(
            *run, check.library.library,
            check.library.baseline.empty() ? check.library.library : check.library.baseline);
        !status.ok())
      return status;
  out.run = *std::move(run);
  return out;
}

}  // namespace brakeward::app
