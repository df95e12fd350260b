#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <memory>
#include <nlohmann/json.hpp>

#include "app/command.h"
#include "document/text.h"
#include "gate/history.h"
#include "report/json.h"
#include "report/table.h"
#include "report/terminal.h"
#include "report/text.h"
#include "store/store.h"

namespace brakeward::app {
namespace {

constexpr int kLargestPage = 1000;

struct RunsOptions {
  std::string store, run_id, library, event_build;
  int limit = 50;
  bool json = false;
};

struct Listed {
  std::vector<store::RunRow> rows;
  bool more = false;  // older ones that match are kept, too
};

absl::StatusOr<Listed> list(store::Store& store, const RunsOptions& o) {
  const size_t most = o.limit == 0 ? std::numeric_limits<size_t>::max() : static_cast<size_t>(o.limit);
  store::Query query;
  query.library = o.library;
  query.event_build = o.event_build;
  Listed out;
  do {
    query.page_size = static_cast<int>(std::min<size_t>(kLargestPage, most - out.rows.size()));
    auto page = store.list_runs(query);
    if (!page.ok()) return page.status();
    std::move(page->rows.begin(), page->rows.end(), std::back_inserter(out.rows));
    query.page_token = page->next_page_token;
  } while (!query.page_token.empty() && out.rows.size() < most);
  out.more = !query.page_token.empty();
  return out;
}

std::vector<std::string> cells_of(const store::RunRow& row) {
  std::vector<std::string> cells = {row.run_id,           gate::rfc3339(row.finished_ms),
                                    row.library,          row.event_build,
                                    row.calibration_name, row.state,
                                    row.verdict,          row.result_sha256.substr(0, report::kHashDigits)};
  for (std::string& cell : cells) cell = cell.empty() ? "-" : document::clean(cell);
  return cells;
}

std::string table(const Listed& listed) {
  const std::vector<std::string> titles = {"run",         "finished", "library", "event build",
                                           "calibration", "state",    "verdict", "result"};
  report::Table table(std::vector<report::Column>(titles.size()));
  table.add(titles);
  for (const store::RunRow& row : listed.rows) table.add(cells_of(row));
  return table.text();
}

std::string json(const Listed& listed) {
  nlohmann::ordered_json out;
  out["runs"] = nlohmann::ordered_json::array();
  for (const store::RunRow& row : listed.rows)
    out["runs"].push_back({{"run_id", row.run_id},
                           {"finished_at", gate::rfc3339(row.finished_ms)},
                           {"library_name", row.library},
                           {"event_build", row.event_build},
                           {"calibration_name", row.calibration_name},
                           {"state", row.state},
                           {"verdict", row.verdict},
                           {"result_sha256", row.result_sha256}});
  out["more_exist"] = listed.more;
  return out.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

int show_list(store::Store& store, const RunsOptions& o) {
  const auto listed = list(store, o);
  if (!listed.ok()) return report_failure(listed.status());
  if (o.json) {
    print(json(*listed));
  } else if (listed->rows.empty()) {
    print("no run is kept that matches\n");
  } else {
    print(table(*listed));
    if (listed->more) print("older runs are kept, too: --limit N shows more, --limit 0 all\n");
  }
  return kPass;
}

int show_one(std::unique_ptr<store::Store> store, const RunsOptions& o) {
  gate::History history(std::move(store), nullptr);
  const auto run = history.run(o.run_id);
  if (!run.ok()) return report_failure(run.status());
  print(o.json ? report::render_json(*run) : report::render_terminal(*run, {is_colour_wanted()}));
  return kPass;
}

int run_runs(const RunsOptions& o) {
  auto store = store::open_sqlite_store(o.store, store::Access::kReadOnly);
  if (!store.ok()) return report_failure(store.status());
  return o.run_id.empty() ? show_list(**store, o) : show_one(*std::move(store), o);
}

}  // namespace

void add_runs(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("runs",
                                     "list the runs a service keeps, newest first, or show one\nReads the "
                                     "store only; a service may be using "
                                     "it. Exit code 0 whatever the verdicts are.");
  auto o = std::make_shared<RunsOptions>();
  command->add_option("--store", o->store, "the service's store file")->required()->check(a_name());
  auto* id = command->add_option("run_id", o->run_id, "show this run whole")->check(a_name());
  command->add_option("--library", o->library, "runs of this library only")->check(a_name())->excludes(id);
  command
      ->add_option("--event-build", o->event_build,
                   "runs marked as this event build only; \"*\" for any build")
      ->check(a_name())
      ->excludes(id);
  command->add_option("--limit", o->limit, "at most so many; 0 for all")
      ->capture_default_str()
      ->check(CLI::Range(0, std::numeric_limits<int>::max()))
      ->excludes(id);
  command->add_flag("--json", o->json, "JSON instead of the table; with a run id brakeward.v1.Run");
  command->callback([o, exit_code] { *exit_code = run_runs(*o); });
}

}  // namespace brakeward::app
