#include "document/describe.h"

#include "app/command.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/json_schema.h"
#include "gate/vehicle_sheet.h"
#include "report/catalogue_text.h"

namespace brakeward::app {
namespace {

struct DescribeOptions {
  std::string type, file, calibration;
  double cargo_kg = 0;
  bool as_json_schema = false;
};

int misused(const std::string& text) {
  return report_misuse("describe", text);
}

// The sheet of a document instead of the schema of its type.
int run_sheet(const DescribeOptions& o) {
  const auto type = document::find_type(o.type);
  if (!type.ok() || *type != v1::Vehicle::descriptor())
    return misused("a FILE is described for type vehicle only; leave " + o.file + " out or say `vehicle`");
  if (o.as_json_schema)
    return misused("a FILE has no JSON Schema; leave --json-schema or " + o.file + " out");
  const auto sheet = gate::load_vehicle_sheet(o.file, o.calibration, o.cargo_kg);
  if (!sheet.ok()) return report_failure(sheet.status());
  print(gate::render(*sheet));
  return kPass;
}

int run_type(const std::string& type, bool as_json_schema) {
  if (type == "measures" && as_json_schema)
    return misused("measures have no JSON Schema; leave --json-schema out or name a document type");
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

int run_describe(const DescribeOptions& o) {
  if (!o.file.empty()) return run_sheet(o);
  if (!o.calibration.empty() || o.cargo_kg > 0)
    return misused(
        "--calibration and --cargo belong to `describe vehicle FILE`; name the vehicle document too");
  return run_type(o.type, o.as_json_schema);
}

}  // namespace

void add_describe(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("describe",
                                     "print a document type with units, ranges and meanings, or `measures`; "
                                     "with type vehicle and a FILE the "
                                     "sheet of that car: loads, balance, pressures, response, heat, grades");
  auto o = std::make_shared<DescribeOptions>();
  command->add_option("type", o->type, "vehicle, calibration, recording, scenario, ... or measures")
      ->required();
  command->add_option("file", o->file, "vehicle document whose sheet to print")->check(a_name());
  command->add_option("--calibration", o->calibration, "calibration whose balance and delays the sheet tells")
      ->check(a_name());
  command->add_option("--cargo", o->cargo_kg, "kg of cargo at the centre of gravity, in the sheet")
      ->check(CLI::Range(0.0, 3000.0));
  command->add_flag("--json-schema", o->as_json_schema, "the type as JSON Schema, draft 2020-12");
  command->callback([o, exit_code] { *exit_code = run_describe(*o); });
}

}  // namespace brakeward::app
