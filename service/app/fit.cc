#include "gate/fit.h"

#include "app/command.h"

namespace brakeward::app {
namespace {

int run_fit(const gate::FitOptions& options) {
  const auto report = gate::fit_gain(options);
  if (!report.ok()) return report_failure(report.status());
  print(gate::render(*report));
  return kPass;
}

}  // namespace

void add_fit(CLI::App& app, int* exit_code) {
  auto* command =
      app.add_subcommand("fit", "fit the brake gain to logged stops and predict the ones left out");
  auto o = std::make_shared<gate::FitOptions>();
  command->add_option("--library", o->library, "folder of a library replayed from line pressure")->required();
  command->add_option("--recordings", o->load.recordings_folder, "folder the logs lie in")
      ->envname("BRAKEWARD_RECORDINGS");
  command->add_option("--lag", o->lag_s, "assumed time from pressure to deceleration, s")
      ->capture_default_str();
  command->callback([o, exit_code] { *exit_code = run_fit(*o); });
}

}  // namespace brakeward::app
