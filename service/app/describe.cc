#include "document/describe.h"

#include "app/command.h"
#include "document/json_schema.h"
#include "report/catalogue_text.h"

namespace brakeward::app {
namespace {

int run_describe(const std::string& type, bool as_json_schema) {
  if (type == "measures" && as_json_schema) {
    report_failure(absl::InvalidArgumentError(
        "describe: measures have no JSON Schema; leave --json-schema out or name a document type"));
    return kUsage;
  }
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
  print(as_json_schema ? document::json_schema(*found) : document::describe(*found));
  return kPass;
}

}  // namespace

void add_describe(CLI::App& app, int* exit_code) {
  auto* command =
      app.add_subcommand("describe", "print a document type with units, ranges and meanings, or `measures`");
  auto type = std::make_shared<std::string>();
  command->add_option("type", *type, "vehicle, calibration, recording, scenario, ... or measures")
      ->required();
  auto as_json_schema = std::make_shared<bool>(false);
  command->add_flag("--json-schema", *as_json_schema, "the type as JSON Schema, draft 2020-12");
  command->callback([type, as_json_schema, exit_code] { *exit_code = run_describe(*type, *as_json_schema); });
}

}  // namespace brakeward::app
