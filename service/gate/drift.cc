#include "gate/drift.h"

#include <algorithm>
#include <map>
#include <set>

#include "document/date.h"
#include "gate/broken.h"
#include "gate/judge.h"
#include "gate/rating.h"
#include "gate/session.h"

namespace brakeward::gate {
namespace {

constexpr size_t kScenariosAtOnce = 8;  // bounds the memory of their inputs

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

// What a scenario is replayed with: every calibration once, whoever asks for it.
struct Unique {
  Calibrations list;
  size_t position(const scenario::Loaded<v1::Calibration>* c) {
    const auto it =
        std::find_if(list.begin(), list.end(), [&](const auto* o) { return o->sha256 == c->sha256; });
    const size_t at = static_cast<size_t>(it - list.begin());
    if (it == list.end()) list.push_back(c);
    return at;
  }
};

// A scenario with what it is replayed with: of every build, and what was on the car.
struct Replays {
  const scenario::Loaded<v1::Scenario>* scenario = nullptr;
  Unique calibrations;
  std::vector<size_t> of_build;  // position in calibrations
  const scenario::Loaded<v1::Calibration>* fitted = nullptr;
  size_t on_car = 0;
  std::vector<compile::CompiledScenario> compiled;  // one a calibration
  std::vector<CompiledVariants> variants;           // one a calibration
  std::vector<measure::Folds<double>> folds;
  std::vector<std::vector<measure::Folds<double>>> variant_folds;
};

Replays plan(const Session& s, const scenario::Loaded<v1::Scenario>& scenario, const Calibrations& builds,
             Compiler& compiler) {
  Replays r;
  r.scenario = &scenario;
  for (const auto* c : builds) r.of_build.push_back(r.calibrations.position(c));
  r.fitted = on_the_car(s, scenario.message);
  if (r.fitted) r.on_car = r.calibrations.position(r.fitted);
  for (const auto* c : r.calibrations.list) {
    compiler.add(scenario, c->message, r.compiled);
    r.variants.push_back(compile_variants(s, scenario, c->message, compiler));
  }
  return r;
}

absl::Status replay_all(std::vector<Replays>& all, int threads) {
  std::vector<const replay::ReplayPlan*> plans;
  for (const Replays& r : all) {
    for (const auto& c : r.compiled) plans.push_back(&c.plan);
    for (const auto& v : r.variants) v.add_plans(plans);
  }
  std::vector<measure::Folds<double>> folds;
  replay::Options how;
  how.threads = threads;
  if (absl::Status status = replay::run(plans, how, folds); !status.ok()) return status;
  auto next = folds.begin();
  const auto take = [&](size_t count, std::vector<measure::Folds<double>>& out) {
    out.assign(next, next + static_cast<long>(count));
    next += static_cast<long>(count);
  };
  for (Replays& r : all) {
    take(r.compiled.size(), r.folds);
    r.variant_folds.resize(r.variants.size());
    for (size_t i = 0; i < r.variants.size(); ++i) take(r.variants[i].count(), r.variant_folds[i]);
  }
  return absl::OkStatus();
}

// Every build's result against the first one.
std::vector<verdict::ScenarioResult> judge_builds(const Session& s, const Replays& r) {
  v1::BaselineScenario first;
  first.set_scenario(r.scenario->message.name());
  const size_t at = r.of_build.front();
  const ScenarioValues values =
      scenario_values(r.compiled[at], r.folds[at], &r.variants[at], r.variant_folds[at]);
  add_values(values.values, values.spread, &first);
  std::vector<verdict::ChannelRating> channels;
  if (r.fitted && !broke(r.folds[r.on_car]))
    channels = rate_channels(s, r.scenario->message, r.compiled[r.on_car]);
  std::vector<verdict::ScenarioResult> out;
  for (const size_t i : r.of_build) {
    const size_t on_car = r.fitted ? r.on_car : i;
    out.push_back(judge(
        s, {r.scenario, &r.compiled[i], &r.folds[i], &r.compiled[on_car], &r.folds[on_car],
            r.fitted ? &r.fitted->message : nullptr, &first, &channels, &r.variants[i], r.variant_folds[i]}));
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

// A scenario whose replay broke under one of the builds.
std::optional<verdict::DriftSeries> broken(const std::vector<verdict::ScenarioResult>& results,
                                           const std::vector<verdict::DriftBuild>& builds) {
  for (size_t i = 0; i < results.size(); ++i) {
    if (!results[i].measures.empty()) continue;
    verdict::DriftSeries out;
    out.scenario = results[i].scenario;
    out.verdict = verdict::Verdict::kError;
    out.reason = builds[i].name + ": " + results[i].reason;
    return out;
  }
  return std::nullopt;
}

void add_series(const Session& s, const v1::Season& season, const Replays& r, verdict::Drift& out) {
  const auto results = judge_builds(s, r);
  if (auto series = broken(results, out.builds)) {
    out.series.push_back(*std::move(series));
    return;
  }
  const auto tolerances = tolerances_of(s.library->tolerances.message, r.scenario->message.scenario_class());
  const auto catalogue = measure::catalogue();
  for (size_t m = 0; m < catalogue.size(); ++m) {
    verdict::DriftInput input;
    input.scenario = r.scenario->message.name();
    input.info = &catalogue[m];
    input.two_sided =
        verdict::counts_both_ways(catalogue[m], verdict::find_tolerance(tolerances, catalogue[m].name));
    input.allowance = allowance_of(season, catalogue[m].name);
    for (const auto& result : results) input.results.push_back(result.measures[m]);
    auto series = verdict::judge_drift(input, out.builds);
    if (series)
      out.series.push_back(*std::move(series));
    else
      ++out.not_judged;
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
  verdict::Drift out = head_of(lib, season, builds);
  for (size_t from = 0; from < lib.scenarios.size(); from += kScenariosAtOnce) {
    const size_t to = std::min(lib.scenarios.size(), from + kScenariosAtOnce);
    std::vector<Replays> part;
    Compiler compiler(*session);
    for (size_t i = from; i < to; ++i) part.push_back(plan(*session, lib.scenarios[i], builds, compiler));
    if (absl::Status status = compiler.status(); !status.ok()) return status;
    if (absl::Status status = replay_all(part, options.threads); !status.ok()) return status;
    for (const Replays& r : part) add_series(*session, season.message, r, out);
  }
  verdict::conclude(out);
  return out;
}

}  // namespace brakeward::gate
