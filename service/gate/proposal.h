// An event build on its way to a baseline: proposed from a calibration of the library, then approved.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "absl/status/statusor.h"
#include "brakeward/v1/baseline.pb.h"
#include "gate/check.h"

namespace brakeward::gate {

struct Replayed;  // gate/replays.h

struct ProposalOptions {
  Options run;
  std::string event_build;  // empty: the calibration's
  v1::BuildSheet build_sheet;
};

// A baseline without approval, and what an approver wants to see beside it.
struct Proposal {
  v1::Baseline baseline;
  verdict::Run itself;  // its check against itself: what it leaves unjudged, limits it crosses
  // Its check against the library's present baseline; empty where there is none that fits.
  std::optional<verdict::Run> present;
  std::string why_no_present;  // everything that does not fit, one a line; empty where there is no baseline
};

// Replays the library with one of its calibrations. Besides what a check refuses: FailedPrecondition for a
// calibration from outside the library and for a replay that breaks.
absl::StatusOr<Proposal> propose(const ProposalOptions& options);

struct ApprovalOptions {
  Options run;  // without calibration: the proposal names it
  std::filesystem::path proposal;
  std::string by, on, why;   // all needed; the day as ISO 8601
  std::string accept_moves;  // why a check that does not pass is accepted; empty: it is not
};

struct Approval {
  std::optional<v1::Baseline> baseline;  // empty when refused
  Proposal made;                         // the same made anew
  std::string refusal;                   // one sentence, of a check that does not pass
};

// Makes the proposal anew and compares. FailedPrecondition, with everything that does not fit, one a line: a
// document that moved since it was proposed (with both hashes), another numerics version, a value that was
// changed by hand or that the replay does not give, an approval already there, a present baseline that does
// not fit unless moves are accepted. Refused where the check against the present baseline does not pass, or
// without one where a limit is crossed, unless moves are accepted; a scenario in error always.
absl::StatusOr<Approval> approve(const ApprovalOptions& options);

// Values of everything that was replayed, added to the baseline. FailedPrecondition with the story of every
// replay that broke, one a line; the others are there all the same.
absl::Status add_values(const scenario::Library& library, const Replayed& replayed, v1::Baseline* out);

// Content hash of a baseline without approval and without the hash itself.
absl::StatusOr<std::string> baseline_content_sha256(const v1::Baseline& baseline);

// A hash as messages show it: its first digits, "none" where there is none.
std::string short_hash(const std::string& sha256);

// The baseline as a page for people; `file` is named in it.
std::string render_baseline(const v1::Baseline& baseline, const std::string& file);

// What the proposal leaves unjudged and how every measure moved against the present baseline.
std::string render_proposal(const Proposal& proposal);

}  // namespace brakeward::gate
