#include <fcntl.h>
#include <unistd.h>

#include <cstdio>
#include <memory>

#include "app/command.h"
#include "app/serve_config.h"
#include "app/serve_service.h"
#include "document/text.h"
#include "gate/libraries.h"
#include "verdict/concat.h"

namespace brakeward::app {
namespace {

struct ServeOptions {
  std::string config;
  bool check_only = false;
};

std::string describe(const gate::HeldLibrary& held) {
  const auto& library = *held.library;
  return verdict::concat("library ", document::clean(held.name()), ": ", library.scenarios.size(),
                         " scenarios, baseline ",
                         library.baseline ? document::clean(library.baseline->message.event_build()) : "none",
                         ", ", library.folder.string(), ", content ", held.sha256, "\n");
}

std::string describe(const ServeConfig& c) {
  const char* security = !c.tls.wanted()                  ? "plaintext"
                         : c.tls.client_authority.empty() ? "TLS"
                                                          : "mutual TLS";
  return verdict::concat(
      "would take calls at ", c.address.text(), ", ", security, ", reflection ",
      c.address.is_local() || c.reflection_beyond_loopback ? "on" : "off", ", requests of up to ",
      c.message_kib, " KiB, ", c.open_streams, " streams\n", "would show metrics at ",
      c.metrics ? c.metrics->text() : "no address", "\n", "would keep history in ",
      c.store_file.empty() ? "memory, lost at stop" : c.store_file.string(), "\n", "would replay up to ",
      c.limits.concurrent_runs, " at a time on ",
      c.limits.threads_per_run == 0 ? "one thread a core"
                                    : verdict::concat(c.limits.threads_per_run, " threads"),
      ", ", c.limits.queued_runs, " more waiting, ", c.limits.replays_per_run, " replays a run at most, ",
      c.drain.count(), " ms to drain\n");
}

int check_only(const ServeConfig& config) {
  const auto libraries = gate::Libraries::load(config.library_folders, config.recordings_folder);
  if (!libraries.ok()) return report_failure(libraries.status());
  for (const auto& held : (*libraries)->all()) print(describe(*held));
  print(describe(config));
  return kPass;
}

// A socket or file must not come to be where messages go.
void keep_standard_streams() {
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
    if (::fcntl(stream, F_GETFD) < 0) ::open("/dev/null", stream == STDIN_FILENO ? O_RDONLY : O_WRONLY);
}

int run_serve(const ServeOptions& o) {
  keep_standard_streams();
  auto config = load_serve_config(o.config);
  if (!config.ok()) return report_failure(config.status());
  if (o.check_only) return check_only(*config);
  Service service(*std::move(config));
  return exit_code_of(service.run());
}

}  // namespace

void add_serve(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand(
      "serve",
      "take checks over gRPC, keep their runs, show metrics\nPrints \"ready: rpc ADDRESS, metrics ADDRESS\" "
      "once "
      "calls are taken; logs to standard error. SIGTERM and SIGINT stop it: no new runs, those taken may end "
      "within drain_s, a second signal cancels them. SIGHUP loads the libraries anew; one with faults is "
      "refused "
      "and the old one stays. Exit code 0 after a clean stop.");
  auto o = std::make_shared<ServeOptions>();
  command
      ->add_option("--config", o->config,
                   "brakeward.v1.ServiceConfig; `brakeward describe ServiceConfig` lists its fields")
      ->required()
      ->check(a_name());
  command->add_flag("--check-config", o->check_only,
                    "check the configuration and every library, say what would be done, and end");
  command->callback([o, exit_code] { *exit_code = run_serve(*o); });
}

}  // namespace brakeward::app
