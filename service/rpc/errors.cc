#include "rpc/errors.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/cord.h"
#include "absl/strings/str_split.h"
#include "document/schema.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"

namespace brakeward::rpc {
namespace {

constexpr const char* kDomain = "brakeward";
constexpr const char* kPayload = "type.googleapis.com/google.rpc.Status";
constexpr size_t kNamesTold = 20, kNameBytesTold = 1000;
constexpr size_t kFraming = 100;  // of a detail within the details: its type's name and lengths

std::string reason_of(absl::StatusCode code) {
  return code == absl::StatusCode::kInternal ? "INTERNAL" : absl::StatusCodeToString(code);
}

template <class Detail>
void add_detail(const Detail& detail, google::rpc::Status* status) {
  status->add_details()->PackFrom(detail);
}

google::rpc::Status whole(const absl::Status& status) {
  google::rpc::Status out;
  const auto payload = status.GetPayload(kPayload);
  if (payload && out.ParseFromString(std::string(*payload))) return out;
  google::rpc::ErrorInfo info;
  info.set_reason(reason_of(status.code()));
  info.set_domain(kDomain);
  out.set_code(static_cast<int>(status.code()));
  out.set_message(std::string(status.message()));
  add_detail(info, &out);
  return out;
}

std::string left_out(int count) {
  return count == 1 ? "1 more is left out" : std::to_string(count) + " more are left out";
}

// Keeps the first violations whose details fit.
void fit(google::rpc::BadRequest* bad, size_t most) {
  int kept = 0;
  size_t used = 100;
  while (kept < bad->field_violations_size()) {
    used += bad->field_violations(kept).ByteSizeLong() + 8;
    if (used > most) break;
    ++kept;
  }
  const int dropped = bad->field_violations_size() - kept;
  if (dropped == 0) return;
  bad->mutable_field_violations()->DeleteSubrange(kept, dropped);
  bad->add_field_violations()->set_description(
      left_out(dropped) + "; ask for longer details to see all, see the schema's README");
}

std::string with_violations(std::string sentence, const google::rpc::BadRequest& bad, size_t most) {
  int told = 0;
  for (const auto& v : bad.field_violations()) {
    const std::string line = "\n" + (v.field().empty() ? "" : v.field() + ": ") + v.description();
    if (sentence.size() + line.size() > most) break;
    sentence += line;
    ++told;
  }
  const int rest = bad.field_violations_size() - told;
  if (rest > 0) sentence += "\n" + left_out(rest) + " here; the details hold them";
  return sentence;
}

std::vector<Violation> violations_of(const std::string& lines, const std::string& prefix) {
  std::vector<Violation> out;
  for (absl::string_view line : absl::StrSplit(lines, '\n', absl::SkipEmpty())) {
    if (line.substr(0, prefix.size()) == prefix) line.remove_prefix(prefix.size());
    const size_t colon = line.find(": ");
    if (colon == absl::string_view::npos)
      out.push_back({"", std::string(line)});
    else
      out.push_back({std::string(line.substr(0, colon)), std::string(line.substr(colon + 2))});
  }
  return out;
}

}  // namespace

void cut(std::string* text, size_t most) {
  if (text->size() <= most) return;
  size_t end = most - 3;
  while (end > 0 && (static_cast<unsigned char>((*text)[end]) & 0xC0) == 0x80) --end;
  text->resize(end);
  *text += "...";
}

absl::Status refuse(const Refusal& r) {
  google::rpc::Status wire;
  wire.set_code(static_cast<int>(r.code));
  wire.set_message(r.message);
  google::rpc::ErrorInfo info;
  info.set_reason(r.reason);
  info.set_domain(kDomain);
  for (const auto& [key, value] : r.metadata) (*info.mutable_metadata())[key] = value;
  add_detail(info, &wire);
  if (!r.violations.empty()) {
    google::rpc::BadRequest bad;
    for (const Violation& v : r.violations) {
      auto* violation = bad.add_field_violations();
      violation->set_field(v.field);
      violation->set_description(v.description);
    }
    add_detail(bad, &wire);
  }
  if (r.retry_after_s > 0) {
    google::rpc::RetryInfo retry;
    const double whole_s = std::floor(r.retry_after_s);
    retry.mutable_retry_delay()->set_seconds(static_cast<std::int64_t>(whole_s));
    retry.mutable_retry_delay()->set_nanos(static_cast<int>((r.retry_after_s - whole_s) * 1e9));
    add_detail(retry, &wire);
  }
  absl::Status status(r.code, r.message);
  status.SetPayload(kPayload, absl::Cord(wire.SerializeAsString()));
  return status;
}

std::string details_of(const absl::Status& status, size_t most_bytes, std::string* message) {
  google::rpc::Status wire = whole(status);
  const size_t message_bytes = most_bytes / 3;
  cut(wire.mutable_message(), message_bytes);
  *message = wire.message();
  for (auto& detail : *wire.mutable_details()) {
    google::rpc::BadRequest bad;
    if (!detail.UnpackTo(&bad)) continue;
    *message = with_violations(wire.message(), bad, message_bytes);
    // Details travel in base64; what they hold beside the violations comes off.
    const size_t room = (most_bytes - message->size()) / 4 * 3;
    const size_t rest = wire.ByteSizeLong() - detail.ByteSizeLong() + kFraming;
    fit(&bad, room > rest ? room - rest : 0);
    detail.PackFrom(bad);
  }
  return wire.SerializeAsString();
}

absl::Status malformed(const std::string& type) {
  return refuse({absl::StatusCode::kInvalidArgument,
                 "MALFORMED_REQUEST",
                 "the bytes of the call are no " + type +
                     "; send one message of this type in protobuf's wire format, not compressed",
                 {{"type", type}},
                 {},
                 0});
}

absl::Status no_message() {
  return refuse({absl::StatusCode::kInvalidArgument,
                 "MALFORMED_REQUEST",
                 "the call brought no message; send one, an empty one too if nothing is to be said",
                 {},
                 {},
                 0});
}

absl::Status invalid(std::vector<Violation> violations) {
  const std::string count = std::to_string(violations.size());
  return refuse({absl::StatusCode::kInvalidArgument,
                 "INVALID_REQUEST",
                 violations.size() == 1 ? "the request has a fault" : "the request has " + count + " faults",
                 {{"faults", count}},
                 std::move(violations),
                 0});
}

absl::Status invalid(const document::Faults& faults) {
  std::vector<Violation> violations;
  for (const auto& f : faults.list) {
    const bool inline_document = f.file.find_first_of("./") == std::string::npos;
    const char* between = f.file.empty() || f.address.empty() ? "" : inline_document ? "." : ": ";
    violations.push_back({f.file + between + f.address, f.text});
  }
  return invalid(std::move(violations));
}

absl::Status not_found(const char* reason, const std::string& what, const std::string& name,
                       const std::vector<std::string>& existing) {
  std::string list;
  size_t told = 0;
  for (; told < std::min(existing.size(), kNamesTold); ++told) {
    if (list.size() + existing[told].size() > kNameBytesTold) break;
    list += (told == 0 ? "" : ", ") + existing[told];
  }
  if (existing.empty()) list = "none";
  if (told < existing.size())
    list += (told == 0 ? "" : " and ") + std::to_string(existing.size() - told) + (told == 0 ? "" : " more");
  std::string shown = name;
  cut(&shown, 200);
  Refusal refusal{absl::StatusCode::kNotFound, reason, "", {{what, shown}, {"existing", list}}, {}, 0};
  refusal.message = "no " + what + " \"" + shown + "\" is held; there is " + list;
  const std::string near = document::nearest_word(name, existing);
  if (!near.empty()) {
    refusal.metadata["nearest"] = near;
    refusal.message += "; the nearest is " + near;
  }
  return refuse(refusal);
}

absl::Status library_changed(const std::string& library, const std::string& wanted, const std::string& held) {
  return refuse({absl::StatusCode::kFailedPrecondition,
                 "LIBRARY_CHANGED",
                 "library_sha256: the service holds " + library + " with the content " + held + ", not " +
                     wanted + "; check against that content, or have the service load the other",
                 {{"library", library}, {"wanted", wanted}, {"held", held}},
                 {},
                 0});
}

absl::Status baseline_misfit(const std::string& lines, const std::string& baseline_file) {
  auto violations = violations_of(lines, baseline_file + ": ");
  for (Violation& v : violations) v.field = v.field.empty() ? "baseline" : "baseline." + v.field;
  return refuse({absl::StatusCode::kFailedPrecondition,
                 "BASELINE_MISFIT",
                 "the baseline does not fit the library, the vehicle or this program",
                 {{"faults", std::to_string(violations.size())}},
                 std::move(violations),
                 0});
}

absl::Status too_many_replays(std::int64_t replays, int limit) {
  return refuse({absl::StatusCode::kFailedPrecondition,
                 "TOO_MANY_REPLAYS",
                 "the run takes " + std::to_string(replays) + " replays, the service allows " +
                     std::to_string(limit) +
                     " a run; take a smaller library or tier, or raise replays_per_run",
                 {{"replays", std::to_string(replays)}, {"limit", std::to_string(limit)}},
                 {},
                 0});
}

absl::Status too_many_streams(int limit, double retry_after_s) {
  return refuse({absl::StatusCode::kResourceExhausted,
                 "TOO_MANY_STREAMS",
                 "all " + std::to_string(limit) + " streams the service allows are open; try again later",
                 {{"limit", std::to_string(limit)}},
                 {},
                 retry_after_s});
}

absl::Status queue_full(const std::string& what, double retry_after_s) {
  return refuse({absl::StatusCode::kResourceExhausted, "QUEUE_FULL", what, {}, {}, retry_after_s});
}

absl::Status draining(double retry_after_s) {
  return refuse({absl::StatusCode::kUnavailable,
                 "DRAINING",
                 "the service is stopping and takes no new work; try again once it is back",
                 {},
                 {},
                 retry_after_s});
}

absl::Status deadline_passed() {
  return refuse({absl::StatusCode::kDeadlineExceeded,
                 "DEADLINE_PASSED",
                 "the call's deadline passed; the work was stopped",
                 {},
                 {},
                 0});
}

absl::Status cancelled() {
  return refuse({absl::StatusCode::kCancelled, "CALL_CANCELLED", "the call was cancelled", {}, {}, 0});
}

absl::Status bad_page_token(const std::string& list) {
  return refuse(
      {absl::StatusCode::kInvalidArgument,
       "INVALID_PAGE_TOKEN",
       "the page token is not of this list as it is now; begin again with an empty one",
       {{"list", list}},
       {{"page_token", "is not a token of the list " + list + " as it is now; begin again without"}},
       0});
}

absl::Status history_failed(absl::StatusCode code) {
  const bool later = code == absl::StatusCode::kUnavailable;
  return refuse({later ? absl::StatusCode::kUnavailable : absl::StatusCode::kInternal,
                 "HISTORY_FAILED",
                 std::string("the history of the service cannot be read; ") +
                     (later ? "try again" : "whoever runs the service finds why in its log and metrics"),
                 {{"cause", absl::StatusCodeToString(code)}},
                 {},
                 later ? 1.0 : 0.0});
}

absl::Status run_not_kept(const std::string& text) {
  return refuse({absl::StatusCode::kUnavailable, "RUN_NOT_KEPT", text, {}, {}, 0});
}

absl::Status cannot_replay(absl::StatusCode code, const std::string& lines) {
  auto violations = violations_of(lines, "");
  return refuse({code,
                 "CANNOT_REPLAY",
                 "the library cannot be replayed with this candidate",
                 {{"faults", std::to_string(violations.size())}},
                 std::move(violations),
                 0});
}

}  // namespace brakeward::rpc
