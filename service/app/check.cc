#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <ctime>

#include "app/command.h"
#include "report/atomic_file.h"
#include "report/brief.h"
#include "report/json.h"
#include "report/junit.h"
#include "report/terminal.h"

namespace brakeward::app {
namespace {

struct CheckOptions {
  LibraryOptions library;
  std::string calibration;
  std::string json, junit;
  int threads = 0;
  bool brief = false;
};

// A line that is written over, only where a person watches.
void show_progress(size_t done, size_t all) {
  std::fprintf(stderr, "\r%zu of %zu replays", done, all);
  if (done == all) std::fprintf(stderr, "\r\033[K");
}

std::string utc_now() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  gmtime_r(&now, &parts);
  char text[32];
  std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &parts);
  return text;
}

absl::Status write_outputs(const CheckOptions& o, const verdict::Run& run) {
  if (!o.json.empty())
    if (absl::Status s = report::write_file_atomically(o.json, report::render_json(run)); !s.ok()) return s;
  if (!o.junit.empty()) return report::write_file_atomically(o.junit, report::render_junit(run, utc_now()));
  return absl::OkStatus();
}

int run_check(const CheckOptions& o) {
  gate::Options options = gate_options(o.library, o.calibration);
  options.threads = o.threads;
  if (isatty(STDERR_FILENO)) options.progress = show_progress;
  const auto run = gate::check(options);
  if (!run.ok()) return report_failure(run.status());
  report::TerminalOptions how;
  const char* no_colour = std::getenv("NO_COLOR");
  how.colour = isatty(STDOUT_FILENO) && (no_colour == nullptr || *no_colour == '\0');
  print(o.brief ? report::render_brief(*run) : report::render_terminal(*run, how));
  if (const absl::Status written = write_outputs(o, *run); !written.ok()) return report_failure(written);
  return exit_code_of(run->verdict);
}

}  // namespace

void add_check(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand(
      "check", "replay a library with a candidate calibration and compare with the baseline");
  auto o = std::make_shared<CheckOptions>();
  command->add_option("--calibration", o->calibration, "calibration under check")
      ->required()
      ->check(a_name());
  add_library_options(*command, o->library, true);
  command->add_option("--json", o->json, "write the run as JSON (brakeward.v1.Run)")->check(a_name());
  command->add_option("--junit", o->junit, "write the run as JUnit XML")->check(a_name());
  command->add_flag("--brief", o->brief, "two lines instead of the table");
  command->add_option("--threads", o->threads, "threads; 0 for one a core")->check(CLI::Range(0, 1024));
  command->callback([o, exit_code] { *exit_code = run_check(*o); });
}

}  // namespace brakeward::app
