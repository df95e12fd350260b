#include "app/check_outputs.h"

#include <cstdio>

#include "absl/status/statusor.h"
#include "app/command.h"
#include "metrics/push.h"
#include "metrics/result_metrics.h"
#include "report/atomic_file.h"
#include "report/json.h"
#include "report/junit.h"
#include "report/markdown.h"

namespace brakeward::app {
namespace {

// "2026-03-01T12:00:00.000Z" without fraction and zone, as JUnit has it.
std::string junit_time(const verdict::Run& run) {
  return run.finished_at.substr(0, run.finished_at.find_first_of(".Z"));
}

// Tells failures and remembers the first.
class Failures {
 public:
  void take(const absl::Status& status) {
    if (status.ok()) return;
    const int code = report_failure(status);
    if (first_ == kPass) first_ = code;
  }
  int first() const { return first_; }

 private:
  int first_ = kPass;
};

}  // namespace

int write_outputs(const CheckOutputs& o, const verdict::Run& run, const report::HtmlExtras& extras) {
  Failures failures;
  const auto write = [&](const std::string& file, const auto& render) {
    if (!file.empty()) failures.take(report::write_file_atomically(file, render()));
  };
  write(o.json, [&] { return report::render_json(run); });
  write(o.junit, [&] { return report::render_junit(run, junit_time(run)); });
  write(o.markdown, [&] { return report::render_markdown(run); });
  write(o.html, [&] { return report::render_html(run, extras); });
  if (!o.textfile.empty()) {
    const absl::StatusOr<std::string> page = metrics::result_page(run);
    failures.take(page.ok() ? report::write_file_atomically(o.textfile, *page) : page.status());
  }
  if (!o.push.empty()) failures.take(metrics::push_results(o.push, run));
  if (failures.first() == kPass) return exit_code_of(run.verdict);
  std::fprintf(stderr, "brakeward: the verdict is %s, but not every output arrived\n", word(run.verdict));
  return failures.first();
}

}  // namespace brakeward::app
