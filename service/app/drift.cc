#include "gate/drift.h"

#include "app/command.h"
#include "document/print.h"
#include "report/atomic_file.h"
#include "report/drift.h"

namespace brakeward::app {
namespace {

struct DriftCommand {
  LibraryOptions library;
  std::string season, json, markdown, html;
  int threads = 0;
  bool all = false;
};

absl::Status write_outputs(const DriftCommand& c, const verdict::Drift& drift) {
  if (!c.json.empty()) {
    const auto text = document::to_json(gate::to_message(drift));
    if (!text.ok()) return text.status();
    if (absl::Status s = report::write_file_atomically(c.json, *text); !s.ok()) return s;
  }
  if (!c.markdown.empty()) {
    const std::string text = report::render_drift_markdown(drift, c.all);
    if (absl::Status s = report::write_file_atomically(c.markdown, text); !s.ok()) return s;
  }
  if (c.html.empty()) return absl::OkStatus();
  return report::write_file_atomically(c.html, report::render_drift_html(drift));
}

int run_drift(const DriftCommand& c) {
  gate::DriftOptions options;
  options.run = gate_options(c.library, "");
  options.season = c.season;
  options.threads = c.threads;
  const auto drift = gate::drift(options);
  if (!drift.ok()) return report_failure(drift.status());
  print(report::render_drift(*drift, c.all, {is_colour_wanted()}));
  if (const absl::Status written = write_outputs(c, *drift); !written.ok()) return report_failure(written);
  return exit_code_of(drift->verdict);
}

}  // namespace

void add_drift(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand(
      "drift",
      "replay every event build of a season anew and add up what changed from build to build\nFails where "
      "the "
      "sum is beyond the drift tolerance, although every build passed against the one before.");
  auto c = std::make_shared<DriftCommand>();
  command->add_option("--season", c->season, "Season document: the event builds, oldest first")
      ->required()
      ->check(a_name());
  add_library_options(*command, c->library, false);
  command
      ->add_option("--html", c->html, "write a report with drawings over the builds, one file for a browser")
      ->check(a_name());
  command->add_option("--json", c->json, "write the drift as JSON (brakeward.v1.Drift)")->check(a_name());
  command->add_option("--markdown", c->markdown, "write a summary as Markdown")->check(a_name());
  command->add_flag("--all", c->all, "show the measures that hardly moved as well");
  command->add_option("--threads", c->threads, "threads; 0 for one a core")->check(CLI::Range(0, 1024));
  command->callback([c, exit_code] { *exit_code = run_drift(*c); });
}

}  // namespace brakeward::app
