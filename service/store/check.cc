#include "store/check.h"

#include <string_view>

#include "absl/strings/escaping.h"
#include "store/concat.h"

namespace brakeward::store {
namespace {

constexpr int kLargestPage = 1000;

class Faults {
 public:
  explicit Faults(std::string_view prefix) : prefix_(prefix) {}

  void filled(std::string_view field, const std::string& value) {
    if (value.empty()) add(field, "is empty; give it a value");
    fits(field, value);
  }
  void fits(std::string_view field, const std::string& value) {
    if (value.size() <= kLargestText) return;
    add(field, concat("has ", value.size(), " bytes, at most ", kLargestText, " are kept; shorten it"));
  }
  void build(const std::string& value) {
    if (value == "*") add("event_build", "is '*', which asks for every build; choose another name");
    fits("event_build", value);
  }
  void body(const std::string& value) {
    if (value.size() <= kLargestBody) return;
    add("body", concat("has ", value.size(), " bytes, at most ", kLargestBody,
                       " are kept; keep fewer results in one row"));
  }
  absl::Status status() const { return text_.empty() ? absl::OkStatus() : absl::InvalidArgumentError(text_); }

 private:
  void add(std::string_view field, std::string_view what) {
    text_ += concat(text_.empty() ? "" : "; ", prefix_, field, ": ", what);
  }

  std::string prefix_;
  std::string text_;
};

std::string quoted(const std::string& id) {
  return concat("'", absl::CHexEscape(id), "'");
}

}  // namespace

absl::Status check(const RunRow& run) {
  Faults faults("run.");
  faults.filled("run_id", run.run_id);
  faults.filled("library", run.library);
  faults.build(run.event_build);
  faults.fits("calibration_name", run.calibration_name);
  faults.fits("state", run.state);
  faults.fits("verdict", run.verdict);
  faults.fits("result_sha256", run.result_sha256);
  faults.body(run.body);
  return faults.status();
}

absl::Status check(const EventRow& event) {
  Faults faults("event.");
  faults.filled("kind", event.kind);
  faults.fits("subject", event.subject);
  faults.fits("text", event.text);
  return faults.status();
}

absl::Status check(const BaselineRow& baseline) {
  Faults faults("baseline.");
  faults.filled("sha256", baseline.sha256);
  faults.filled("library", baseline.library);
  faults.build(baseline.event_build);
  faults.body(baseline.body);
  return faults.status();
}

bool same(const RunRow& a, const RunRow& b) {
  return a.run_id == b.run_id && a.finished_ms == b.finished_ms && a.library == b.library &&
         a.event_build == b.event_build && a.calibration_name == b.calibration_name && a.state == b.state &&
         a.verdict == b.verdict && a.result_sha256 == b.result_sha256 && a.body == b.body;
}

bool same(const BaselineRow& a, const BaselineRow& b) {
  return a.sha256 == b.sha256 && a.library == b.library && a.event_build == b.event_build && a.body == b.body;
}

absl::Status kept_already(const RunRow& kept, const RunRow& put) {
  if (same(kept, put)) return absl::OkStatus();
  return absl::AlreadyExistsError(concat("run ", quoted(put.run_id),
                                         " is kept already, with other content; give this run an id of "
                                         "its own"));
}

absl::Status kept_already(const BaselineRow& kept, const BaselineRow& put) {
  if (same(kept, put)) return absl::OkStatus();
  return absl::AlreadyExistsError(
      concat("baseline ", quoted(put.sha256), " is kept already, with other content; hash the content anew"));
}

absl::Status no_run(const std::string& run_id) {
  return absl::NotFoundError(
      concat("no run ", quoted(run_id), " is kept; list the runs for the ids there are"));
}

absl::Status no_baseline(const std::string& sha256) {
  return absl::NotFoundError(
      concat("no baseline ", quoted(sha256), " is kept; list the baselines for the hashes there are"));
}

absl::Status no_build(const std::string& library) {
  return absl::NotFoundError(concat("no run of library ", quoted(library),
                                    " is marked as an event build; mark one when it is checked"));
}

absl::Status check_page_size(int page_size) {
  if (page_size >= 1 && page_size <= kLargestPage) return absl::OkStatus();
  return absl::InvalidArgumentError(
      concat("page_size: ", page_size, " is not within 1 to ", kLargestPage, " rows"));
}

absl::Status check_limit(int limit) {
  if (limit >= 1) return absl::OkStatus();
  return absl::InvalidArgumentError(concat("limit: ", limit, " builds; ask for 1 or more"));
}

}  // namespace brakeward::store
