#include "document/describe.h"

#include "app/command.h"
#include "report/catalogue_text.h"

namespace brakeward::app {
namespace {

int run_describe(const std::string& type) {
  if (type == "measures") {
    print(report::render_catalogue());
    return kPass;
  }
  const auto found = document::find_type(type);
  if (!found.ok()) {
    report_failure(absl::NotFoundError(std::string(found.status().message()) +
                                       " `brakeward describe measures` lists the measures."));
    return kUsage;
  }
  print(document::describe(*found));
  return kPass;
}

}  // namespace

void add_describe(CLI::App& app, int* exit_code) {
  auto* command =
      app.add_subcommand("describe", "print a document type with units, ranges and meanings, or `measures`");
  auto type = std::make_shared<std::string>();
  command->add_option("type", *type, "vehicle, calibration, recording, scenario, ... or measures")
      ->required();
  command->callback([type, exit_code] { *exit_code = run_describe(*type); });
}

}  // namespace brakeward::app
