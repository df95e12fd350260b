#include "metrics/service_metrics.h"

#include <prometheus/counter.h>
#include <prometheus/gauge.h>
#include <prometheus/histogram.h>
#include <prometheus/registry.h>

#include <algorithm>
#include <map>

#include "document/text.h"
#include "math/check.h"
#include "metrics/declarations.h"
#include "metrics/text.h"

namespace brakeward::metrics {
namespace {

using prometheus::Counter;
using prometheus::Gauge;
using prometheus::Histogram;
using verdict::RunState;
using verdict::Verdict;

// One family made from its declaration.
template <typename Metric>
prometheus::Family<Metric>& family(std::string_view name, prometheus::Registry& registry) {
  const MetricDeclaration& metric = declaration(name);
  auto builder = [] {
    if constexpr (std::is_same_v<Metric, Counter>) return prometheus::BuildCounter();
    if constexpr (std::is_same_v<Metric, Gauge>) return prometheus::BuildGauge();
    if constexpr (std::is_same_v<Metric, Histogram>) return prometheus::BuildHistogram();
  }();
  return builder.Name(std::string(metric.name)).Help(std::string(metric.help)).Register(registry);
}

// The closed list of values of a family's label.
const std::vector<std::string_view>& values_of(std::string_view name, size_t label) {
  return declaration(name).labels.at(label).values;
}

// The series of a family with one label, one for each value of its closed list.
template <typename Metric>
std::map<std::string, Metric*, std::less<>> one_each(std::string_view name, prometheus::Registry& registry) {
  std::map<std::string, Metric*, std::less<>> series;
  auto& made = family<Metric>(name, registry);
  for (const std::string_view value : values_of(name, 0)) {
    const std::string label(declaration(name).labels.at(0).name);
    series.emplace(value, &made.Add({{label, std::string(value)}}));
  }
  return series;
}

}  // namespace

struct ServiceMetrics::Series : prometheus::Collectable {
  struct Method {
    std::map<std::string, Counter*, std::less<>> by_code;
    Histogram* duration = nullptr;
  };

  std::vector<prometheus::MetricFamily> Collect() const override {
    std::vector<prometheus::MetricFamily> families = registry.Collect();
    sort(families);
    return families;
  }

  prometheus::Registry registry;
  std::map<std::string, Method, std::less<>> methods;
  std::map<std::pair<RunState, Verdict>, Counter*> finished;
  Histogram* run_duration = nullptr;
  std::map<std::string, Gauge*, std::less<>> runs;
  std::map<std::string, Counter*, std::less<>> replays;
  Counter* replayed_seconds = nullptr;
  std::map<std::string, Counter*, std::less<>> store_errors;
};

namespace {

// Counters go up by what is finite and positive only; a clock that steps back must not stop the count.
double amount(double value) {
  return value > 0 && value < 1e18 ? value : 0;
}

}  // namespace

ServiceMetrics::ServiceMetrics(std::string_view version, int numerics,
                               const std::vector<std::string>& methods)
    : series_(std::make_shared<Series>()) {
  Series& s = *series_;
  family<Gauge>("brakeward_build_info", s.registry)
      .Add({{"version", document::clean(version)}, {"numerics", std::to_string(numerics)}})
      .Set(1);
  auto& requests = family<Counter>("brakeward_rpc_requests_total", s.registry);
  auto& durations = family<Histogram>("brakeward_rpc_duration_seconds", s.registry);
  std::vector<std::string> names = methods;
  names.emplace_back(kOther);
  for (const std::string& name : names) {
    const std::string method = document::clean(name);
    Series::Method& made = s.methods[name];
    for (const std::string_view code : values_of("brakeward_rpc_requests_total", 1)) {
      made.by_code.emplace(code, &requests.Add({{"method", method}, {"code", std::string(code)}}));
    }
    made.duration =
        &durations.Add({{"method", method}}, declaration("brakeward_rpc_duration_seconds").buckets);
  }
  auto& finished = family<Counter>("brakeward_runs_finished_total", s.registry);
  for (const RunState state : {RunState::kCompleted, RunState::kCancelled, RunState::kAborted}) {
    for (const Verdict v :
         {Verdict::kNone, Verdict::kPass, Verdict::kInconclusive, Verdict::kFail, Verdict::kError}) {
      s.finished[{state, v}] =
          &finished.Add({{"state", verdict::word(state)}, {"verdict", verdict::word(v)}});
    }
  }
  s.run_duration = &family<Histogram>("brakeward_run_duration_seconds", s.registry)
                        .Add({}, declaration("brakeward_run_duration_seconds").buckets);
  s.runs = one_each<Gauge>("brakeward_runs", s.registry);
  s.replays = one_each<Counter>("brakeward_replays_total", s.registry);
  s.replayed_seconds = &family<Counter>("brakeward_replayed_seconds_total", s.registry).Add({});
  s.store_errors = one_each<Counter>("brakeward_store_errors_total", s.registry);
}

ServiceMetrics::~ServiceMetrics() = default;

void ServiceMetrics::rpc_finished(std::string_view method, std::string_view code, double seconds) {
  auto found = series_->methods.find(method);
  if (found == series_->methods.end()) found = series_->methods.find(kOther);
  auto counter = found->second.by_code.find(code);
  if (counter == found->second.by_code.end()) counter = found->second.by_code.find("UNKNOWN");
  counter->second->Increment();
  found->second.duration->Observe(amount(seconds));
}

void ServiceMetrics::run_finished(RunState state, Verdict verdict, double seconds) {
  const bool ended = state != RunState::kAccepted && state != RunState::kRunning;
  series_->finished.at({ended ? state : RunState::kAborted, verdict})->Increment();
  series_->run_duration->Observe(amount(seconds));
}

void ServiceMetrics::set_runs(int queued, int running) {
  series_->runs.find("queued")->second->Set(queued);
  series_->runs.find("running")->second->Set(running);
}

void ServiceMetrics::replays(Verdict verdict, int count) {
  series_->replays.find(verdict::word(verdict))->second->Increment(amount(count));
}

void ServiceMetrics::replayed_seconds(double seconds) {
  series_->replayed_seconds->Increment(amount(seconds));
}

void ServiceMetrics::store_error(std::string_view operation) {
  auto found = series_->store_errors.find(operation);
  if (found == series_->store_errors.end()) found = series_->store_errors.find(kOther);
  found->second->Increment();
}

std::string ServiceMetrics::page() const {
  return to_text(series_->Collect());
}

std::shared_ptr<prometheus::Collectable> ServiceMetrics::collectable() const {
  return series_;
}

}  // namespace brakeward::metrics
