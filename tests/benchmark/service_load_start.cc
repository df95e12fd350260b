// From exec to the ready line, with an empty history and with a long one.
#include <algorithm>
#include <cstdio>

#include "benchmark/service_load.h"
#include "benchmark/service_load_service.h"
#include "gate/history.h"
#include "gate/run_message.h"
#include "store/store.h"

namespace brakeward::benchmark {
namespace {

constexpr int kRuns = 10000;
constexpr int kBuilds = 40;       // event builds among them
constexpr int kRunsOfABuild = 5;  // the other runs are variants
constexpr int kStarts = 9;
constexpr double kGoalMs = 1000;
constexpr std::int64_t kFirst = 1767225600000;  // 2026-01-01
constexpr std::int64_t kApart = 600000;

// Real runs under other ids: every body is that of a whole run of the demo car.
bool fill(const std::filesystem::path& file) {
  auto run = gate::check(demo_session(demo_folder()), gate::CheckOptions{});
  auto store = store::open_sqlite_store(file, store::Access::kReadWrite);
  if (!run.ok() || !store.ok()) {
    std::printf("WRONG     no run to fill the store with, or no store: %s %s\n",
                std::string(run.status().message()).c_str(), std::string(store.status().message()).c_str());
    return false;
  }
  gate::History history(*std::move(store), [](const std::string&, const absl::Status&) {});
  const double begin = now_ms();
  for (int i = 0; i < kRuns; ++i) {
    char id[64];
    std::snprintf(id, sizeof id, "load-%06d", i);
    run->run_id = id;
    const int every = kRuns / (kBuilds * kRunsOfABuild);
    run->event_build = i % every == 0 ? "build-" + std::to_string(i / every / kRunsOfABuild) : "";
    const std::int64_t at = kFirst + i * kApart;
    run->finished_at = gate::rfc3339(at);
    if (const absl::Status status = history.keep(*run, at); !status.ok()) {
      std::printf("WRONG     run %d is not kept: %s\n", i, std::string(status.message()).c_str());
      return false;
    }
  }
  const auto count = history.store().count_runs();
  const auto builds = history.builds("sorrel", kBuilds + 1);
  if (!count.ok() || *count != kRuns || !builds.ok() || builds->newest.size() != kBuilds || !builds->anchor ||
      builds->anchor->event_build != "build-0") {
    std::printf("WRONG     the store does not hold what was put in\n");
    return false;
  }
  std::printf("start     store of %d runs, %d event builds, %.0f KiB a run: kept in %.2f ms each\n", kRuns,
              kBuilds, static_cast<double>(gate::to_message(*run).ByteSizeLong()) / 1024,
              (now_ms() - begin) / kRuns);
  if (const absl::Status status = history.store().checkpoint(); !status.ok()) return false;
  return true;
}

bool time_starts(const std::string& program, const TemporaryFolder& folder, const std::string& store,
                 const char* what) {
  std::vector<double> ms;
  for (int i = 0; i < kStarts; ++i) {
    const Service service(program, folder, demo_folder(), "address: \"127.0.0.1:0\"\n" + store);
    if (!service.is_ready()) return false;
    ms.push_back(service.start_ms());
  }
  const Spread s = spread_of(ms);
  std::printf("start     exec to ready, %-22s median %.0f ms, max %.0f ms of %d; goal < %.0f ms: %s\n", what,
              s.p50, s.most, kStarts, kGoalMs, against(s.most < kGoalMs));
  return true;
}

}  // namespace

bool measure_start(const std::string& program) {
  const TemporaryFolder folder;
  const std::filesystem::path file = folder.file("store");
  return time_starts(program, folder, "", "no history:") && fill(file) &&
         time_starts(program, folder, "store_file: \"" + file.string() + "\"\n", "10,000 runs (in cache):");
}

}  // namespace brakeward::benchmark
