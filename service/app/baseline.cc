#include "app/command.h"
#include "document/print.h"
#include "report/atomic_file.h"

namespace brakeward::app {
namespace {

struct BaselineCommand {
  LibraryOptions library;
  std::string calibration, out;
  gate::BaselineOptions baseline;
};

int run_baseline(const BaselineCommand& o) {
  gate::BaselineOptions options = o.baseline;
  options.run = gate_options(o.library, o.calibration);
  const auto baseline = gate::make_baseline(options);
  if (!baseline.ok()) return report_failure(baseline.status());
  const std::string text = document::to_text(*baseline);
  if (o.out.empty()) {
    print(text);
    return kPass;
  }
  return report_failure(report::write_file_atomically(o.out, text));
}

}  // namespace

void add_baseline(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("baseline", "make a baseline from a calibration of the library");
  auto o = std::make_shared<BaselineCommand>();
  command->add_option("--calibration", o->calibration, "released calibration")->required()->check(a_name());
  add_library_options(*command, o->library, false);
  command->add_option("--event-build", o->baseline.event_build,
                      "name of the event build; the calibration's by default");
  command->add_option("--approved-by", o->baseline.approved_by, "role or tag of the person who approves");
  command->add_option("--approved-on", o->baseline.approved_on, "date of approval, ISO 8601");
  command->add_option("--reason", o->baseline.reason, "why this baseline");
  command->add_option("--out", o->out, "file to write; standard output by default");
  command->callback([o, exit_code] { *exit_code = run_baseline(*o); });
}

}  // namespace brakeward::app
