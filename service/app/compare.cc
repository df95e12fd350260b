#include "gate/compare.h"

#include "app/command.h"
#include "document/print.h"
#include "report/atomic_file.h"
#include "report/comparison.h"

namespace brakeward::app {
namespace {

struct CompareCommand {
  LibraryOptions library;
  std::string calibration, old_calibration, vehicle, json, markdown;
  verdict::Tier tier = verdict::Tier::kGate;
  int threads = 0;
  bool all = false;
};

absl::Status write_outputs(const CompareCommand& c, const verdict::HardwareComparison& comparison) {
  if (!c.json.empty()) {
    const auto text = document::to_json(gate::to_message(comparison));
    if (!text.ok()) return text.status();
    if (absl::Status s = report::write_file_atomically(c.json, *text); !s.ok()) return s;
  }
  if (c.markdown.empty()) return absl::OkStatus();
  return report::write_file_atomically(c.markdown, report::render_comparison_markdown(comparison, c.all));
}

int run_compare(const CompareCommand& c) {
  gate::CompareOptions options;
  options.run = gate_options(c.library, c.calibration);
  options.run.tier = c.tier;
  options.new_vehicle = c.vehicle;
  options.old_calibration = c.old_calibration;
  options.threads = c.threads;
  const auto comparison = gate::compare_hardware(options);
  if (!comparison.ok()) return report_failure(comparison.status());
  print(report::render_comparison(*comparison, c.all, {is_colour_wanted()}));
  if (const absl::Status written = write_outputs(c, *comparison); !written.ok())
    return report_failure(written);
  return kPass;
}

}  // namespace

void add_compare(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("compare",
                                     "after a change of hardware: what of the difference is the car, what "
                                     "the calibration\nReplays the library with "
                                     "the old calibration on the old car, the old one on the new car and the "
                                     "new one on the new car. It gives no "
                                     "verdict: a new car wants a baseline of its own.");
  auto c = std::make_shared<CompareCommand>();
  command->add_option("--library", c->library.library, "folder of the old car's library")
      ->capture_default_str()
      ->check(a_name());
  command->add_option("--vehicle", c->vehicle, "vehicle document of the new car; it keeps the old one's name")
      ->required()
      ->check(a_name());
  command->add_option("--calibration", c->calibration, "calibration for the new car")
      ->required()
      ->check(a_name());
  command
      ->add_option("--old-calibration", c->old_calibration,
                   "calibration of the old car; that of the library's baseline when not said")
      ->check(a_name());
  command
      ->add_option("--recordings", c->library.recordings,
                   "folder of recordings that do not lie beside their document")
      ->envname("BRAKEWARD_RECORDINGS")
      ->check(a_name());
  add_tier_option(*command, c->tier);
  command->add_option("--json", c->json, "write the comparison as JSON (brakeward.v1.HardwareComparison)")
      ->check(a_name());
  command->add_option("--markdown", c->markdown, "write a summary as Markdown")->check(a_name());
  command->add_flag("--all", c->all, "show the measures that hardly moved as well");
  command->add_option("--threads", c->threads, "threads; 0 for one a core")->check(CLI::Range(0, 1024));
  command->callback([c, exit_code] { *exit_code = run_compare(*c); });
}

}  // namespace brakeward::app
