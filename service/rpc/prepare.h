// From a request to an open session.
#pragma once

#include <string>

#include "absl/status/statusor.h"
#include "brakeward/v1/check_service.pb.h"
#include "gate/history.h"
#include "gate/libraries.h"
#include "gate/session.h"

namespace brakeward::rpc {

// Checks the whole request, finds what it names, opens the session. Everything that is wrong with the request
// itself is told at once (INVALID_REQUEST); then what it names must be held. Of a check the baseline, the
// request's choice, must fit; a replay has none to choose.
absl::StatusOr<gate::Session> prepare_check(const v1::CheckRequest& request, const gate::Libraries& libraries,
                                            gate::History& history);
absl::StatusOr<gate::Session> prepare_replay(const v1::ReplayRequest& request,
                                             const gate::Libraries& libraries);

// The library of a resource name "libraries/<name>"; LIBRARY_NOT_FOUND tells those that are held.
absl::StatusOr<std::shared_ptr<const gate::HeldLibrary>> find_library(const gate::Libraries& libraries,
                                                                      const std::string& resource_name);

// The text with every document of the library named as the library names it, not as the server's disk does.
std::string without_paths(const scenario::Library& library, std::string text);

}  // namespace brakeward::rpc
