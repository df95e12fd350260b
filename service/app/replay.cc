#include <cstdio>

#include "app/command.h"
#include "report/order.h"
#include "verdict/number.h"

namespace brakeward::app {
namespace {

struct ReplayOptions {
  LibraryOptions library;
  std::string calibration, scenario;
};

int run_replay(const ReplayOptions& o) {
  gate::Options options = gate_options(o.library, o.calibration);
  options.load.without_baseline = o.library.baseline.empty();
  const auto outcome = gate::replay_scenario(options, o.scenario);
  if (!outcome.ok()) return report_failure(outcome.status());
  for (const auto& m : outcome->result.measures) {
    const report::MeasureForm form = report::form_of(m.measure);
    if (m.value)
      std::printf("%-34s %14s %s\n", m.measure.c_str(),
                  verdict::format_number(*m.value, form.decimals).c_str(), std::string(form.unit).c_str());
    else
      std::printf("%-34s %14s %s\n", m.measure.c_str(), "-", m.reason.c_str());
  }
  return exit_code_of(outcome->result);
}

}  // namespace

void add_replay(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("replay", "replay one scenario and print its measures");
  auto o = std::make_shared<ReplayOptions>();
  command->add_option("scenario", o->scenario, "name of the scenario")->required();
  command->add_option("--calibration", o->calibration, "calibration to replay with")
      ->required()
      ->check(a_name());
  add_library_options(*command, o->library, true);
  command->callback([o, exit_code] { *exit_code = run_replay(*o); });
}

}  // namespace brakeward::app
