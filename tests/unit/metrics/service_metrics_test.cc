#include "metrics/service_metrics.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <thread>

#include "metrics/declarations.h"
#include "unit/metrics/golden.h"
#include "unit/metrics/sample_builds.h"

namespace brakeward::metrics {
namespace {

using verdict::RunState;
using verdict::Verdict;

const std::vector<std::string> kMethods = {"CheckService/Check", "LibraryService/ListLibraries"};

TEST(ServiceMetrics, ReadsAsTheGoldenPage) {
  ServiceMetrics metrics("1.2.3", 3, kMethods);
  metrics.rpc_finished("CheckService/Check", "OK", 0.02);
  metrics.rpc_finished("CheckService/Check", "INVALID_ARGUMENT", 0.0005);
  metrics.run_finished(RunState::kCompleted, Verdict::kFail, 2.5);
  metrics.set_runs(2, 1);
  metrics.replays(Verdict::kPass, 32);
  metrics.replays(Verdict::kFail, 1);
  metrics.replayed_seconds(410.25);
  metrics.store_error("put_run");
  expect_golden(metrics.page(), "service.prom");
}

TEST(ServiceMetrics, ShowsEverySeriesFromTheStart) {
  ServiceMetrics metrics("1.2.3", 3, kMethods);
  const auto before = series_of_page(metrics.page()).size();
  for (const std::string& method : {kMethods[0], kMethods[1], std::string("other")}) {
    for (const auto code : rpc_code_words()) metrics.rpc_finished(method, code, 1);
  }
  for (const Verdict v :
       {Verdict::kNone, Verdict::kPass, Verdict::kInconclusive, Verdict::kFail, Verdict::kError}) {
    metrics.replays(v, 1);
    for (const RunState s : {RunState::kAccepted, RunState::kRunning, RunState::kCompleted,
                             RunState::kCancelled, RunState::kAborted}) {
      metrics.run_finished(s, v, 1);
    }
  }
  for (const auto operation : store_operations()) metrics.store_error(operation);
  EXPECT_EQ(series_of_page(metrics.page()).size(), before);
  EXPECT_EQ(value_on(metrics.page(), "brakeward_runs_finished_total{state=\"aborted\",verdict=\"none\"}"),
            "3");
}

TEST(ServiceMetrics, LabelsStayBounded) {
  ServiceMetrics metrics("1.2.3", 3, kMethods);
  metrics.rpc_finished("CheckService/NoSuchMethod", "OK", 1);
  metrics.rpc_finished("CheckService/Check", "NO_SUCH_CODE", 1);
  metrics.store_error("no such operation");
  const std::string page = metrics.page();
  EXPECT_EQ(value_on(page, "brakeward_rpc_requests_total{code=\"OK\",method=\"other\"}"), "1");
  EXPECT_EQ(value_on(page, "brakeward_rpc_requests_total{code=\"UNKNOWN\",method=\"CheckService/Check\"}"),
            "1");
  EXPECT_EQ(value_on(page, "brakeward_store_errors_total{operation=\"other\"}"), "1");
}

TEST(ServiceMetrics, CountsNothingForTimesThatCannotBe) {
  ServiceMetrics metrics("1.2.3", 3, kMethods);
  for (const double seconds : {-1.0, std::nan(""), std::numeric_limits<double>::infinity()}) {
    metrics.replayed_seconds(seconds);
    metrics.run_finished(RunState::kCompleted, Verdict::kPass, seconds);
  }
  EXPECT_EQ(value_on(metrics.page(), "brakeward_replayed_seconds_total"), "0");
  EXPECT_EQ(value_on(metrics.page(), "brakeward_run_duration_seconds_sum"), "0");
  EXPECT_EQ(value_on(metrics.page(), "brakeward_run_duration_seconds_count"), "3");
}

TEST(ServiceMetrics, CountsFromManyThreads) {
  ServiceMetrics metrics("1.2.3", 3, kMethods);
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([&] {
      for (int i = 0; i < 1000; ++i) metrics.rpc_finished(kMethods[0], "OK", 0.5);
      metrics.page();
    });
  }
  for (std::thread& thread : threads) thread.join();
  const std::string page = metrics.page();
  EXPECT_EQ(value_on(page, "brakeward_rpc_requests_total{code=\"OK\",method=\"CheckService/Check\"}"),
            "4000");
  EXPECT_EQ(value_on(page, "brakeward_rpc_duration_seconds_sum{method=\"CheckService/Check\"}"), "2000");
}

}  // namespace
}  // namespace brakeward::metrics
