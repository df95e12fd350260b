#include <unistd.h>

#include <cstdio>

#include "app/check_outputs.h"
#include "app/check_remote.h"
#include "app/command.h"
#include "gate/figures.h"
#include "gate/history.h"
#include "report/brief.h"
#include "report/terminal.h"

namespace brakeward::app {
namespace {

struct CheckCommand {
  LibraryOptions library;
  ServerOptions server;
  CheckOutputs outputs;
  std::string calibration, event_build;
  verdict::Tier tier = verdict::Tier::kGate;
  int threads = 0;
  bool brief = false, require_approved = false;
};

// A line that is written over, only where a person watches.
void show_progress(size_t done, size_t all, const std::string& lap) {
  std::fprintf(stderr, "\r%zu of %zu replays%s\033[K", done, all, lap.c_str());
  if (done == all) std::fprintf(stderr, "\r\033[K");
}

// `extras` are filled where an HTML report is wanted.
absl::StatusOr<verdict::Run> check_here(const CheckCommand& c, report::HtmlExtras& extras) {
  gate::CheckOptions how;
  how.threads = c.threads;
  how.event_build = c.event_build;
  how.require_approved = c.require_approved;
  std::string driven;
  if (isatty(STDERR_FILENO)) {
    how.progress = [&](size_t done, size_t all) { show_progress(done, all, driven); };
    how.lap = [&](const std::string& stint, int lap, int laps) {
      driven = ", " + stint + " lap " + std::to_string(lap) + " of " + std::to_string(laps);
    };
  }
  if (!c.outputs.html.empty())
    how.judged = [&](const gate::Session& session, const verdict::Run& run) {
      extras = gate::draw(session, run);
    };
  gate::Options what = gate_options(c.library, c.calibration);
  what.tier = c.tier;
  auto run = gate::check(what, how);
  if (run.ok()) run->finished_at = gate::rfc3339(gate::now_ms());
  return run;
}

absl::StatusOr<verdict::Run> check_there(const CheckCommand& c, report::HtmlExtras& extras) {
  ServerCheck check{c.server, c.library, c.calibration, c.event_build, c.tier, c.require_approved, nullptr};
  if (isatty(STDERR_FILENO)) check.progress = [](size_t done, size_t all) { show_progress(done, all, ""); };
  auto answer = check_at_server(check);
  if (!answer.ok()) return answer.status();
  if (!answer->notice.empty())
    std::fprintf(stderr, "brakeward: the service did not keep the run: %s\n", answer->notice.c_str());
  extras.why_no_figures = extras.why_no_balance = extras.why_no_baseline =
      "the check ran at a service, which answers with measures only; a check without --server draws them";
  return std::move(answer->run);
}

int run_check(const CheckCommand& c) {
  report::HtmlExtras extras;
  const auto run = c.server.address.empty() ? check_here(c, extras) : check_there(c, extras);
  if (!run.ok()) return report_failure(run.status());
  print(c.brief ? report::render_brief(*run) : report::render_terminal(*run, {is_colour_wanted()}));
  return write_outputs(c.outputs, *run, extras);
}

CLI::Validator ends_in_prom() {
  return CLI::Validator(
      [](std::string& value) {
        return std::string(value.ends_with(".prom")
                               ? ""
                               : "does not end in .prom; a node exporter reads no other file names");
      },
      "");
}

CLI::Validator http_address() {
  return CLI::Validator(
      [](std::string& value) {
        return std::string(value.starts_with("http://") ? "" : "is not of the form http://host:port");
      },
      "");
}

void add_output_options(CLI::App& command, CheckCommand& c) {
  CheckOutputs& o = c.outputs;
  command.add_option("--json", o.json, "write the run as JSON (brakeward.v1.Run)")->check(a_name());
  command.add_option("--junit", o.junit, "write the run as JUnit XML")->check(a_name());
  command.add_option("--markdown", o.markdown, "write a summary as Markdown, for a merge request")
      ->check(a_name());
  command.add_option("--html", o.html, "write a report with tables and traces, for a browser")
      ->check(a_name());
  auto* build = command
                    .add_option("--event-build", c.event_build,
                                "mark the run as this event build, which dashboards follow")
                    ->check(a_name());
  command
      .add_option("--textfile", o.textfile, "write the build's metrics, for the folder of a node exporter")
      ->check(ends_in_prom())
      ->needs(build);
  command.add_option("--push", o.push, "put the build's metrics to the Pushgateway at this http://host:port")
      ->check(http_address())
      ->needs(build);
  command.add_flag("--brief", c.brief, "two lines instead of the table");
}

void add_server_options(CLI::App& command, CheckCommand& c) {
  ServerOptions& s = c.server;
  auto* server =
      command
          .add_option("--server", s.address,
                      "let the service at host:port or unix:PATH check; --library is then a folder "
                      "whose content the service must hold, or the name of one of its libraries")
          ->check(a_name());
  auto* authority = command
                        .add_option("--tls-authority", s.tls_authority,
                                    "PEM file of the authority the service's certificate must come from; "
                                    "turns TLS on")
                        ->check(a_name())
                        ->needs(server);
  auto* certificate =
      command.add_option("--tls-certificate", s.tls_certificate, "PEM file of this client's certificate")
          ->check(a_name())
          ->needs(authority);
  auto* key = command.add_option("--tls-key", s.tls_key, "PEM file of its private key")
                  ->check(a_name())
                  ->needs(certificate);
  certificate->needs(key);
  command.add_option("--deadline", s.deadline_s, "seconds after which to give up")
      ->capture_default_str()
      ->check(CLI::Range(0.001, 1e6))
      ->needs(server);
  command.add_option("--threads", c.threads, "threads; 0 for one a core")
      ->check(CLI::Range(0, 1024))
      ->excludes(server);
}

}  // namespace

void add_check(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand(
      "check", "replay a library with a candidate calibration and compare with the baseline");
  auto c = std::make_shared<CheckCommand>();
  command->add_option("--calibration", c->calibration, "calibration under check")
      ->required()
      ->check(a_name());
  add_library_options(*command, c->library, true);
  add_tier_option(*command, c->tier);
  command->add_flag("--require-approved", c->require_approved,
                    "refuse a baseline that is proposed only, and to check without one");
  add_output_options(*command, *c);
  add_server_options(*command, *c);
  command->callback([c, exit_code] { *exit_code = run_check(*c); });
}

}  // namespace brakeward::app
