#include "rpc/replay_handler.h"

#include <algorithm>
#include <limits>

#include "absl/strings/str_join.h"
#include "brakeward/v1/check_service.pb.h"
#include "document/schema.h"
#include "gate/run_message.h"
#include "rpc/errors.h"
#include "rpc/prepare.h"
#include "rpc/wire.h"
#include "signal/observables.h"

namespace brakeward::rpc {
namespace {

constexpr size_t kPieceBytes = size_t{32} * 1024;
double shown(double value) {
  return value <= signal::kNothingRecorded ? std::numeric_limits<double>::quiet_NaN() : value;
}

std::vector<std::string> signal_names() {
  std::vector<std::string> names;
  for (const auto& o : signal::kObservables) names.push_back(o.name);
  return names;
}

// Columns of the trace that the request wants, in its order.
absl::StatusOr<std::vector<int>> columns_of(const v1::ReplayRequest& request) {
  const std::vector<std::string> names = signal_names();
  std::vector<int> columns;
  std::vector<Violation> unknown;
  for (int i = 0; i < request.signals_size(); ++i) {
    const std::string& wanted = request.signals(i);
    const auto it = std::find(names.begin(), names.end(), wanted);
    const std::string field = "signals[" + std::to_string(i) + "]";
    const int column = static_cast<int>(it - names.begin());
    if (it == names.end()) {
      std::string shown = wanted;
      cut(&shown, 100);
      const std::string near = document::nearest_word(wanted, names);
      unknown.push_back({field, "there is no signal \"" + shown + "\"; " +
                                    (near.empty() ? "there are " + absl::StrJoin(names, ", ")
                                                  : "did you mean " + near + "?")});
    } else if (std::find(columns.begin(), columns.end(), column) != columns.end()) {
      unknown.push_back({field, "\"" + wanted + "\" is wanted twice; name each signal once"});
    } else {
      columns.push_back(column);
    }
  }
  if (!unknown.empty()) return invalid(std::move(unknown));
  if (columns.empty())
    for (int i = 0; i < signal::kObservableCount; ++i) columns.push_back(i);
  return columns;
}

absl::Status check_scenario(const gate::Session& session, const std::string& name) {
  if (gate::find_scenario(session, name).ok()) return absl::OkStatus();
  std::vector<std::string> names;
  for (const auto& s : session.library->scenarios) names.push_back(s.message.name());
  return not_found("SCENARIO_NOT_FOUND", "scenario", name, names);
}

// Holds what its caller wants of the trace, while it is written piece by piece.
class ReplayCall : public Call {
 public:
  ReplayCall(Context& shared, grpc::CallbackServerContext* context) : Call(shared, context, Kind::kLong) {}

 protected:
  void work() override {
    if (const absl::Status status = submit(); !status.ok()) end(status);
  }

  bool next(grpc::ByteBuffer* message) override {
    if (!ready_) return false;
    v1::ReplayResponse response;
    if (!header_sent_) {
      *response.mutable_header() = header();
      header_sent_ = true;
    } else if (sent_ < values_.size()) {
      const size_t row = columns_.size();
      const size_t piece = std::max<size_t>(1, kPieceBytes / (sizeof(double) * row)) * row;
      const size_t end = std::min(values_.size(), sent_ + piece);
      auto* values = response.mutable_rows()->mutable_values();
      values->Add(values_.begin() + static_cast<std::ptrdiff_t>(sent_),
                  values_.begin() + static_cast<std::ptrdiff_t>(end));
      sent_ = end;
    } else if (!result_sent_) {
      *response.mutable_result() = result_;
      result_sent_ = true;
    } else {
      return false;
    }
    *message = encode(response);
    return true;
  }

  // What waits in the desk's queue finds the call stopped when its turn comes.
  void stop() override { end(cancelled()); }

 private:
  absl::Status submit() {
    if (is_stopped()) return cancelled();
    v1::ReplayRequest request;
    if (absl::Status status = decode(Call::request(), &request); !status.ok()) return status;
    scenario_ = request.scenario();
    stride_ = request.has_stride() ? request.stride() : 1;
    auto session = prepare_replay(request, shared_.desk.libraries());
    if (!session.ok()) return session.status();
    auto columns = columns_of(request);
    if (!columns.ok()) return columns.status();
    columns_ = *std::move(columns);
    if (absl::Status status = check_scenario(*session, scenario_); !status.ok()) return status;
    auto self = std::static_pointer_cast<ReplayCall>(shared_from_this());
    const auto shared_session = std::make_shared<gate::Session>(*std::move(session));
    const absl::Status taken = shared_.desk.submit([self, shared_session] { self->replay(*shared_session); });
    if (absl::IsResourceExhausted(taken))
      return queue_full(std::string(taken.message()), shared_.retry_after_s);
    return taken.ok() ? taken : draining(shared_.retry_after_s);
  }

  void replay(const gate::Session& session) {
    if (is_stopped()) return;
    const auto outcome = gate::replay_scenario(session, scenario_);
    if (!outcome.ok()) {
      end(cannot_replay(outcome.status().code(),
                        without_paths(*session.library, std::string(outcome.status().message()))));
      return;
    }
    std::vector<double> values;
    for (long tick = 0; tick < outcome->trace.ticks; tick += stride_) {
      const double* row = outcome->trace.rows.data() + tick * signal::kObservableCount;
      for (int column : columns_) values.push_back(shown(row[column]));
    }
    {
      const auto held = lock();
      values_ = std::move(values);
      result_ = gate::to_message(outcome->result);
      ready_ = true;
    }
    end(absl::OkStatus());
  }

  v1::TraceHeader header() const {
    v1::TraceHeader header;
    for (int column : columns_) {
      const auto& observable = signal::kObservables[column];
      v1::TraceSignal* s = header.add_signals();
      s->set_name(observable.name);
      s->set_unit(observable.unit);
      s->set_meaning(observable.meaning);
    }
    header.set_row_count(static_cast<std::int64_t>(values_.size() / columns_.size()));
    return header;
  }

  // Set before the desk calls.
  std::string scenario_;
  long stride_ = 1;
  std::vector<int> columns_;
  // Guarded by lock().
  bool ready_ = false, header_sent_ = false, result_sent_ = false;
  std::vector<double> values_;
  size_t sent_ = 0;
  v1::ScenarioResult result_;
};

}  // namespace

Call* handle_replay(Context& shared, grpc::CallbackServerContext* context) {
  return Call::start(std::make_shared<ReplayCall>(shared, context));
}

}  // namespace brakeward::rpc
