#include <memory>

#include "app/command.h"
#include "brakeward/v1/run.pb.h"
#include "document/parse.h"
#include "gate/history.h"
#include "gate/run_message.h"
#include "report/atomic_file.h"
#include "report/data_views.h"
#include "store/store.h"

namespace brakeward::app {
namespace {

struct ExportFiles {
  std::string csv, hdf5;
};

struct ExportMeasures {
  std::string run, store, run_id;
  ExportFiles files;
};

struct ExportTrace {
  LibraryOptions library;
  std::string scenario, calibration;
  ExportFiles files;
};

int misused(const std::string& text) {
  return report_misuse("export", text);
}

bool has_none(const ExportFiles& files) {
  return files.csv.empty() && files.hdf5.empty();
}

absl::Status write(const ExportFiles& files, const report::Data& data) {
  if (!files.csv.empty())
    if (absl::Status s = report::write_file_atomically(files.csv, report::render_csv(data)); !s.ok())
      return s;
  if (files.hdf5.empty()) return absl::OkStatus();
  return report::write_file_atomically(files.hdf5, report::render_hdf5(data));
}

absl::StatusOr<verdict::Run> run_of_file(const std::string& file) {
  v1::Run message;
  if (const document::Faults faults = document::load(file, &message); !faults.empty()) return faults.status();
  auto run = gate::from_message(message);
  if (run.ok()) return run;
  return absl::InvalidArgumentError(file + ": " + std::string(run.status().message()));
}

absl::StatusOr<verdict::Run> run_of_store(const std::string& file, const std::string& run_id) {
  auto store = store::open_sqlite_store(file, store::Access::kReadOnly);
  if (!store.ok()) return store.status();
  return gate::History(*std::move(store), nullptr).run(run_id);
}

int export_measures(const ExportMeasures& o) {
  if (o.run.empty() == o.store.empty())
    return misused("name one run: --run FILE, or --store FILE and its id");
  if (has_none(o.files)) return misused("say what to write: --csv FILE, --hdf5 FILE or both");
  const auto run = o.store.empty() ? run_of_file(o.run) : run_of_store(o.store, o.run_id);
  if (!run.ok()) return report_failure(run.status());
  const absl::Status written = write(o.files, report::measures_data(*run));
  return written.ok() ? kPass : report_failure(written);
}

int export_trace(const ExportTrace& o) {
  if (has_none(o.files)) return misused("say what to write: --csv FILE, --hdf5 FILE or both");
  gate::Options options = gate_options(o.library, o.calibration);
  options.load.without_baseline = o.library.baseline.empty();
  const auto outcome = gate::replay_scenario(options, o.scenario);
  if (!outcome.ok()) return report_failure(outcome.status());
  const absl::Status written =
      write(o.files, report::trace_data(outcome->head, outcome->result, outcome->trace.rows));
  if (!written.ok()) return report_failure(written);
  return exit_code_of(outcome->result);
}

void add_files(CLI::App& command, ExportFiles& files) {
  command.add_option("--csv", files.csv, "write them as CSV")->check(a_name());
  command.add_option("--hdf5", files.hdf5, "write them as HDF5: a dataset a column, units as attributes")
      ->check(a_name());
}

void add_measures(CLI::App& parent, int* exit_code) {
  auto* command = parent.add_subcommand(
      "measures",
      "the measures of a run, a row a scenario and measure\nExit code 0 whatever the verdict is.");
  auto o = std::make_shared<ExportMeasures>();
  command->add_option("--run", o->run, "the run as `check --json` wrote it, to a name ending in .json")
      ->check(a_name());
  auto* store = command->add_option("--store", o->store, "a service's store file that keeps the run");
  auto* id = command->add_option("run_id", o->run_id, "the run's id, with --store")->check(a_name());
  store->check(a_name())->needs(id);
  id->needs(store);
  add_files(*command, o->files);
  command->callback([o, exit_code] { *exit_code = export_measures(*o); });
}

void add_trace(CLI::App& parent, int* exit_code) {
  auto* command = parent.add_subcommand("trace", "every signal of a scenario at every tick");
  auto o = std::make_shared<ExportTrace>();
  command->add_option("scenario", o->scenario, "name of the scenario")->required();
  command->add_option("--calibration", o->calibration, "calibration to replay with")
      ->required()
      ->check(a_name());
  add_library_options(*command, o->library, true);
  add_files(*command, o->files);
  command->callback([o, exit_code] { *exit_code = export_trace(*o); });
}

}  // namespace

void add_export(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("export", "write measures or a trace as CSV or HDF5");
  command->require_subcommand(1);
  add_measures(*command, exit_code);
  add_trace(*command, exit_code);
}

}  // namespace brakeward::app
