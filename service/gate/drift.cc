#include "gate/drift.h"

#include <algorithm>
#include <map>
#include <set>

#include "document/date.h"
#include "gate/judge.h"
#include "gate/proposal.h"
#include "gate/replays.h"
#include "gate/run_message.h"
#include "report/order.h"

namespace brakeward::gate {
namespace {

constexpr const char* kFirstBuild = "the first build";

using Season = scenario::Loaded<v1::Season>;
using Calibrations = std::vector<const scenario::Loaded<v1::Calibration>*>;

void check_builds(const Season& season, const scenario::Library& lib, document::Faults& faults) {
  const auto add = [&](const std::string& address, const std::string& text) {
    faults.add({season.file.string(), 0, 0, address, text});
  };
  if (season.message.builds_size() < 2) add("builds", "one build alone cannot drift; give two at least");
  std::string before;
  for (const v1::SeasonBuild& b : season.message.builds()) {
    const std::string at = "builds[\"" + b.name() + "\"]";
    if (!lib.calibration_named(b.calibration()))
      add(at + ".calibration", "no calibration named \"" + b.calibration() +
                                   "\" in the library; list its file under calibration_files");
    if (!document::is_date(b.held_on()))
      add(at + ".held_on", "\"" + b.held_on() + "\" is no day of the calendar; write it as 2026-03-01");
    else if (b.held_on() < before)
      add(at + ".held_on",
          b.held_on() + " comes before the build above, " + before + "; list builds oldest first");
    before = std::max(before, b.held_on());
  }
}

void check_tolerances(const Season& season, document::Faults& faults) {
  std::set<std::string> measures;
  for (int i = 0; i < season.message.drift_size(); ++i) {
    const v1::DriftTolerance& t = season.message.drift(i);
    const auto add = [&](const char* field, const std::string& text) {
      faults.add({season.file.string(), 0, 0, "drift[" + std::to_string(i) + "]" + field, text});
    };
    if (!measure::find_measure(t.measure()))
      add(".measure",
          "no measure is named \"" + t.measure() + "\"; `brakeward describe measures` lists them");
    if (!measures.insert(t.measure()).second)
      add(".measure", "another drift tolerance is for " + t.measure() + " too; keep one");
    if (t.has_factor() == t.has_amount())
      add("", t.has_factor() ? "factor and amount are both given; keep one" : "give a factor or an amount");
  }
}

// The first build against itself; its values are what the others are held against.
absl::StatusOr<verdict::Run> replay_first(const Session& session, int threads, v1::Baseline* values) {
  const auto replayed = replay_all(session, threads);
  if (!replayed.ok()) return replayed.status();
  // What broke has no values; its result says so.
  add_values(*session.library, *replayed, values).IgnoreError();
  return judge_all(with_baseline(session, *values, kFirstBuild), *replayed);
}

// A run a build against the first one, which is the session's candidate and reference; every content once.
absl::StatusOr<std::map<std::string, verdict::Run>> replay_builds(const Session& session,
                                                                  const Calibrations& builds, int threads) {
  v1::Baseline values;
  auto first = replay_first(session, threads, &values);
  if (!first.ok()) return first.status();
  std::map<std::string, verdict::Run> out;  // by content
  const auto& judged = out.emplace(builds.front()->sha256, *std::move(first)).first->second;
  Session other = with_baseline(session, values, kFirstBuild);
  other.reproduced = &judged.scenarios;
  CheckOptions how;
  how.threads = threads;
  for (const auto* build : builds) {
    if (out.count(build->sha256)) continue;
    other.candidate = *build;
    auto run = check(other, how);
    if (!run.ok()) return run.status();
    out.emplace(build->sha256, *std::move(run));
  }
  return out;
}

verdict::DriftAllowance allowance_of(const v1::Season& season, std::string_view measure) {
  verdict::DriftAllowance out;
  out.factor = season.drift_factor();
  for (const v1::DriftTolerance& t : season.drift()) {
    if (t.measure() != measure) continue;
    if (t.has_factor()) out.factor = t.factor();
    if (t.has_amount()) out.amount = t.amount();
  }
  return out;
}

// A scenario, campaign or stint, or one fault of a campaign, under every build.
struct Part {
  std::string name;
  v1::ScenarioClass scenario_class = v1::SCENARIO_CLASS_UNSPECIFIED;
  std::vector<const std::vector<verdict::MeasureResult>*> measures;  // one a build
};

// One a build. Campaigns and stints leave out what does not apply; empty where no build has the measure.
std::vector<verdict::MeasureResult> over_builds(const Part& part, const std::string& measure) {
  std::vector<verdict::MeasureResult> out;
  bool anywhere = false;
  for (const auto* measures : part.measures) {
    const auto* found = report::measure_named(*measures, measure);
    anywhere |= found != nullptr;
    if (found) {
      out.push_back(*found);
    } else {
      out.emplace_back().measure = measure;
      out.back().reason = "no replay shows it";
    }
  }
  return anywhere ? out : std::vector<verdict::MeasureResult>();
}

void add_series(const Session& s, const v1::Season& season, const Part& part, verdict::Drift& out) {
  const auto tolerances = tolerances_of(s.library->tolerances.message, part.scenario_class);
  for (const measure::MeasureInfo& info : measure::catalogue()) {
    verdict::DriftInput input;
    input.results = over_builds(part, std::string(info.name));
    if (input.results.empty()) continue;
    input.scenario = part.name;
    input.info = &info;
    input.two_sided = verdict::counts_both_ways(info, verdict::find_tolerance(tolerances, info.name));
    input.allowance = allowance_of(season, info.name);
    if (auto series = verdict::judge_drift(input, out.builds))
      out.series.push_back(*std::move(series));
    else
      ++out.not_judged;
  }
}

using Results = std::vector<const verdict::ScenarioResult*>;  // one a build

// The scenario as a whole: its replay broke under a build, or else a campaign does not show all of its
// faults.
std::optional<verdict::DriftSeries> as_a_whole(const Results& results, const verdict::Drift& drift) {
  verdict::DriftSeries out;
  for (size_t i = 0; i < results.size(); ++i) {
    const verdict::ScenarioResult& r = *results[i];
    verdict::Verdict found = verdict::Verdict::kNone;
    if (r.measures.empty())
      found = verdict::Verdict::kError;
    else if (r.campaign && !r.reason.empty())
      found = verdict::Verdict::kInconclusive;
    if (found <= out.verdict) continue;
    out.scenario = r.scenario;
    out.verdict = found;
    out.reason = drift.builds[i].name + ": " + r.reason;
  }
  return out.verdict == verdict::Verdict::kNone ? std::nullopt : std::optional(out);
}

void add_scenario(const Session& s, const v1::Season& season, const Results& results, verdict::Drift& out) {
  if (auto series = as_a_whole(results, out)) {
    out.series.push_back(*std::move(series));
    if (out.series.back().verdict == verdict::Verdict::kError) return;
  }
  const verdict::ScenarioResult& first = *results.front();
  Part part{first.scenario, to_class(first.scenario_class), {}};
  for (const auto* r : results) part.measures.push_back(&r->measures);
  add_series(s, season, part, out);
  if (!first.campaign) return;
  for (size_t f = 0; f < first.campaign->faults.size(); ++f) {
    part.name = first.scenario + "/" + first.campaign->faults[f].fault;
    part.measures.clear();
    for (const auto* r : results) part.measures.push_back(&r->campaign->faults[f].measures);
    add_series(s, season, part, out);
  }
}

verdict::Drift head_of(const scenario::Library& lib, const Season& season, const Calibrations& builds) {
  verdict::Drift out;
  out.season = season.message.name();
  out.season_sha256 = season.sha256;
  out.library_name = lib.index.name();
  out.vehicle_name = lib.vehicle.message.name();
  out.vehicle_sha256 = lib.vehicle.sha256;
  out.numerics_version = replay::kNumericsVersion;
  for (size_t i = 0; i < builds.size(); ++i) {
    const v1::SeasonBuild& b = season.message.builds(static_cast<int>(i));
    out.builds.push_back({b.name(), b.held_on(), builds[i]->message.name(), builds[i]->sha256});
  }
  return out;
}

}  // namespace

absl::StatusOr<verdict::Drift> drift(const DriftOptions& options) {
  Options run = options.run;
  run.load.without_baseline = true;
  run.tier = verdict::Tier::kAll;
  document::Faults faults;
  const Season season = scenario::load_document<v1::Season>(options.season, faults);
  auto session = open_session(run);
  if (!session.ok())
    return faults.empty()
               ? session.status()
               : absl::InvalidArgumentError(faults.render() + std::string(session.status().message()));
  const scenario::Library& lib = *session->library;
  if (faults.empty()) {
    check_builds(season, lib, faults);
    check_tolerances(season, faults);
  }
  if (!faults.empty()) return faults.status();
  Calibrations builds;
  for (const auto& b : season.message.builds()) builds.push_back(lib.calibration_named(b.calibration()));
  session->candidate = *builds.front();
  session->reference = builds.front();
  const auto runs = replay_builds(*session, builds, options.threads);
  if (!runs.ok()) return runs.status();
  verdict::Drift out = head_of(lib, season, builds);
  for (size_t i = 0; i < runs->begin()->second.scenarios.size(); ++i) {
    Results results;
    for (const auto* build : builds) results.push_back(&runs->at(build->sha256).scenarios[i]);
    add_scenario(*session, season.message, results, out);
  }
  verdict::conclude(out);
  return out;
}

}  // namespace brakeward::gate
