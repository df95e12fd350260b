#include "gate/history.h"

#include <chrono>
#include <cstdio>
#include <ctime>

#include "gate/run_message.h"

namespace brakeward::gate {
namespace {

absl::StatusOr<verdict::Run> run_of(const store::RunRow& row) {
  v1::Run message;
  if (!message.ParseFromString(row.body))
    return absl::DataLossError("run " + row.run_id + ": the kept row is not a run of this schema");
  auto run = from_message(message);
  if (run.ok()) return run;
  return absl::DataLossError("run " + row.run_id + ": " + std::string(run.status().message()));
}

const absl::Status& status_of(const absl::Status& outcome) {
  return outcome;
}
template <class T>
const absl::Status& status_of(const absl::StatusOr<T>& outcome) {
  return outcome.status();
}

}  // namespace

History::History(std::unique_ptr<store::Store> store, OnError on_error)
    : store_(std::move(store)), on_error_(std::move(on_error)) {}

// What was asked for and is not there is an answer, not a failure of the store.
template <class Outcome>
Outcome History::watched(const char* operation, Outcome outcome) {
  const absl::StatusCode code = status_of(outcome).code();
  const bool fine = code == absl::StatusCode::kOk || code == absl::StatusCode::kNotFound ||
                    code == absl::StatusCode::kInvalidArgument;
  if (!fine && on_error_) on_error_(operation, status_of(outcome));
  return outcome;
}

absl::Status History::keep(const verdict::Run& run, std::int64_t finished_ms) {
  store::RunRow row;
  row.run_id = run.run_id;
  row.finished_ms = finished_ms;
  row.library = run.library_name;
  row.event_build = run.event_build;
  row.calibration_name = run.calibration_name;
  row.state = word(run.state);
  row.verdict = word(run.verdict);
  row.result_sha256 = run.result_sha256;
  row.body = to_message(run).SerializeAsString();
  return watched("put_run", store_->put_run(row));
}

absl::StatusOr<verdict::Run> History::run(const std::string& run_id) {
  const auto row = watched("get_run", store_->get_run(run_id));
  if (!row.ok()) return row.status();
  return watched("get_run", run_of(*row));
}

absl::StatusOr<History::Builds> History::builds(const std::string& library, int limit) {
  const auto rows = watched("newest_of_builds", store_->newest_of_builds(library, limit));
  if (!rows.ok()) return rows.status();
  Builds out;
  for (const store::RunRow& row : *rows) {
    auto run = watched("newest_of_builds", run_of(row));
    if (!run.ok()) return run.status();
    out.newest.push_back(*std::move(run));
  }
  const auto row = watched("anchor_build", store_->anchor_build(library));
  if (absl::IsNotFound(row.status())) return out;
  if (!row.ok()) return row.status();
  auto anchor = watched("anchor_build", run_of(*row));
  if (!anchor.ok()) return anchor.status();
  out.anchor = *std::move(anchor);
  return out;
}

absl::Status History::keep_baseline(const std::string& library, const v1::Baseline& baseline,
                                    const std::string& sha256) {
  store::BaselineRow row;
  row.sha256 = sha256;
  row.kept_ms = now_ms();
  row.library = library;
  row.event_build = baseline.event_build();
  row.body = baseline.SerializeAsString();
  return watched("put_baseline", store_->put_baseline(row));
}

absl::StatusOr<v1::Baseline> History::baseline(const std::string& sha256) {
  const auto row = watched("get_baseline", store_->get_baseline(sha256));
  if (!row.ok()) return row.status();
  v1::Baseline out;
  if (!out.ParseFromString(row->body))
    return watched("get_baseline", absl::StatusOr<v1::Baseline>(absl::DataLossError(
                                       "baseline " + sha256 + ": the kept row is not a baseline")));
  return out;
}

void History::note(const std::string& kind, const std::string& subject, const std::string& text) {
  store::EventRow row;
  row.at_ms = now_ms();
  row.kind = kind;
  row.subject = subject;
  row.text = text;
  // A failure is counted; there is nobody here to tell.
  (void)watched("put_event", store_->put_event(row));
}

std::int64_t now_ms() {
  const auto now = std::chrono::system_clock::now().time_since_epoch();
  return std::chrono::duration_cast<std::chrono::milliseconds>(now).count();
}

std::string rfc3339(std::int64_t ms) {
  const std::int64_t floor_s = ms >= 0 ? ms / 1000 : -((999 - ms) / 1000);
  const std::time_t seconds = static_cast<std::time_t>(floor_s);
  std::tm parts{};
  gmtime_r(&seconds, &parts);
  char text[64];
  const size_t length = std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &parts);
  std::snprintf(text + length, sizeof text - length, ".%03dZ", static_cast<int>(ms - floor_s * 1000));
  return text;
}

}  // namespace brakeward::gate
