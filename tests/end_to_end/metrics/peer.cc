// A service's metrics without the service, for the tests that bring their real readers. The runs are made by
// hand.
//
//   metrics_peer page          prints a page with everything on it, hostile names included
//   metrics_peer text BUILD    prints the page of one run
//   metrics_peer serve         serves two event builds; prints the port, ends with standard input
//   metrics_peer push URL BUILD WORSE   pushes a build, its stopping distance 61.5 + WORSE; exit code 0 or 1
#include <cstdio>
#include <iostream>
#include <string>
#include <vector>

#include "metrics/exposer.h"
#include "metrics/push.h"
#include "metrics/result_metrics.h"
#include "metrics/service_metrics.h"
#include "unit/metrics/sample_builds.h"

namespace brakeward::metrics {
namespace {

int fail(const absl::Status& status) {
  std::cerr << status.message() << "\n";
  return 1;
}

void count_something(ServiceMetrics& metrics) {
  metrics.rpc_finished("CheckService/Check", "OK", 0.25);
  metrics.run_finished(verdict::RunState::kCompleted, verdict::Verdict::kPass, 2);
  metrics.replays(verdict::Verdict::kPass, 33);
  metrics.replayed_seconds(410);
}

int print_page() {
  ServiceMetrics service("1.2.3 \"x\"", 3, {"CheckService/Check"});
  count_something(service);
  ResultMetrics results;
  const std::string car = "a \"quoted\" \\ car\n\xff";
  std::vector<verdict::Run> builds = {full_build(car, "b2\xC0{}", 3), full_build(car, "b1,\r", 3)};
  const absl::Status set = results.set(car, builds, std::nullopt);
  if (!set.ok()) return fail(set);
  std::cout << service.page() << results.page();
  return 0;
}

int print_text(const std::string& build) {
  const absl::StatusOr<std::string> page = result_page(golden_build(build, 0));
  if (!page.ok()) return fail(page.status());
  std::cout << *page;
  return 0;
}

int serve() {
  ServiceMetrics service("1.2.3", 3, {"CheckService/Check"});
  count_something(service);
  ResultMetrics results;
  const absl::Status set =
      results.set("juniper", {golden_build("b2", 0.5), golden_build("b1", 0)}, std::nullopt);
  if (!set.ok()) return fail(set);
  const auto page = Page::serve("127.0.0.1", 0, {service.collectable(), results.collectable()});
  if (!page.ok()) return fail(page.status());
  std::cout << (*page)->port() << std::endl;
  for (std::string line; std::getline(std::cin, line);) {
  }
  return 0;
}

int push(const std::string& url, const std::string& build, const std::string& worse) {
  const absl::Status status = push_results(url, golden_build(build, std::stod(worse)));
  return status.ok() ? 0 : fail(status);
}

int run(const std::vector<std::string>& words) {
  if (words.size() == 1 && words[0] == "page") return print_page();
  if (words.size() == 2 && words[0] == "text") return print_text(words[1]);
  if (words.size() == 1 && words[0] == "serve") return serve();
  if (words.size() == 4 && words[0] == "push") return push(words[1], words[2], words[3]);
  return 64;
}

}  // namespace
}  // namespace brakeward::metrics

int main(int argc, char** argv) {
  return brakeward::metrics::run(std::vector<std::string>(argv + 1, argv + argc));
}
