// The use cases on a library: check a candidate, replay one scenario. A baseline: gate/proposal.h.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <string>

#include "absl/status/statusor.h"
#include "replay/replay.h"
#include "scenario/library.h"
#include "verdict/run.h"

namespace brakeward::gate {

struct Session;  // gate/session.h

// What is loaded from files.
struct Options {
  std::filesystem::path library;      // folder
  std::filesystem::path calibration;  // document of the candidate
  verdict::Tier tier = verdict::Tier::kGate;
  scenario::LoadOptions load;
};

// How a check runs. The functions are called one at a time, from any thread of the run.
struct CheckOptions {
  int threads = 0;                                                       // 0: one per core
  const std::atomic<bool>* cancel = nullptr;                             // looked at every few ms of a replay
  std::function<void(size_t done, size_t all)> progress;                 // replays, and laps of stints
  std::function<void(const std::string& stint, int lap, int laps)> lap;  // done; before `progress`
  std::function<void(const verdict::ScenarioResult&)> scenario;  // in library order, as soon as it is known
  std::string event_build;                                       // marks the run; empty for a variant
  bool require_approved = false;  // check_approved() of gate/session.h before anything is replayed
  // The run and the session it was made in, where the check opens that itself; outside the run's duration.
  std::function<void(const Session&, const verdict::Run&)> judged;
};

// Replays every scenario, campaign and stint of the tier with the candidate, and scenarios with the
// calibration that was on the car where that is another one; compares with the library's baseline.
// InvalidArgument lists every fault of every document, one a line; FailedPrecondition when the baseline does
// not fit (vehicle, numerics, scenarios) and what to do about it, or is not approved where that is required.
absl::StatusOr<verdict::Run> check(const Options& options, const CheckOptions& how = {});

// The same on an open session; Cancelled when the flag was raised before the end.
absl::StatusOr<verdict::Run> check(const Session& session, const CheckOptions& options);

// One scenario, with its trace.
struct ReplayOutcome {
  replay::Trace trace;
  verdict::Run head;               // of the session (gate/session.h)
  verdict::ScenarioResult result;  // values without a comparison; verdict and reason where the replay broke
};
// `scenario`: of the library, or of one of its campaigns' replays.
absl::StatusOr<ReplayOutcome> replay_scenario(const Options& options, const std::string& scenario);
absl::StatusOr<ReplayOutcome> replay_scenario(const Session& session, const std::string& scenario);

// A recorded scenario may judge only when the on-car calibration stays this close to the recording.
inline constexpr double kLongestDeparture = 0.3;  // s beyond 0.5 m/s^2

}  // namespace brakeward::gate
