// Every way in which the service refuses. A refusal is an absl::Status whose payload is the google.rpc.Status
// that goes on the wire; proto/README.md lists the reasons.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "document/fault.h"

namespace brakeward::rpc {

// One value of a request at fault.
struct Violation {
  std::string field;        // address in the request: "calibration.balance.front_percent"
  std::string description;  // sentence
};

struct Refusal {
  absl::StatusCode code;
  const char* reason;                           // UPPER_SNAKE
  std::string message;                          // sentence; those of the violations are added on the wire
  std::map<std::string, std::string> metadata;  // variable parts of the message
  std::vector<Violation> violations;
  double retry_after_s = 0;  // 0: no advice
};

absl::Status refuse(const Refusal& refusal);

// Shortens a text to `most` bytes, between characters, with an ellipsis.
void cut(std::string* text, size_t most);

// The details of a refusal as a serialized google.rpc.Status; of any other status too, with a reason named
// after its code. Together with the message they take `most_bytes` at most: then the last violations are
// left out and counted. `message` gets a sentence and as many violations as fit in a third of that.
std::string details_of(const absl::Status& status, size_t most_bytes, std::string* message);

// What a caller takes of headers when it does not say.
inline constexpr size_t kUsualDetails = size_t{6} * 1024;
inline constexpr size_t kMostDetails = size_t{512} * 1024;
// Header of a request in which a caller says how many bytes of details it takes.
inline constexpr const char* kDetailsHeader = "brakeward-details-bytes";

// The refusals, by reason.
absl::Status malformed(const std::string& type);
absl::Status no_message();
// `file` of a fault: "calibration" and so on for a document of the request, else a document of the library.
absl::Status invalid(const document::Faults& faults);
absl::Status invalid(std::vector<Violation> violations);
// `what`: "library"; `existing`: names that would do, at most a few of them are told.
absl::Status not_found(const char* reason, const std::string& what, const std::string& name,
                       const std::vector<std::string>& existing);
absl::Status library_changed(const std::string& library, const std::string& wanted, const std::string& held);
// From the FailedPrecondition of gate::check_baseline, one fault a line, each after the baseline's file.
absl::Status baseline_misfit(const std::string& lines, const std::string& baseline_file);
absl::Status too_many_replays(std::int64_t replays, int limit);
absl::Status too_many_streams(int limit, double retry_after_s);
absl::Status queue_full(const std::string& what, double retry_after_s);
absl::Status draining(double retry_after_s);
absl::Status deadline_passed();
absl::Status cancelled();
absl::Status bad_page_token(const std::string& list);
// A failure of the store; its own text names files of the server and stays here.
absl::Status history_failed(absl::StatusCode code);
absl::Status run_not_kept(const std::string& text);
// From the text of a failed compilation or replay, one fault a line.
absl::Status cannot_replay(absl::StatusCode code, const std::string& lines);

}  // namespace brakeward::rpc
