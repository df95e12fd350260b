#include "gate/check.h"

#include <algorithm>
#include <chrono>

#include "gate/campaign.h"
#include "gate/judge.h"
#include "gate/session.h"
#include "gate/stint.h"
#include "verdict/tolerance.h"

namespace brakeward::gate {
namespace {

// The replays of a run: per scenario the candidate's and, where another calibration was on the car, that
// one's; then those of every campaign, and those beside every scenario. Stints are run after them.
struct Replays {
  std::vector<const scenario::Loaded<v1::Scenario>*> scenarios;
  std::vector<compile::CompiledScenario> candidate;
  std::vector<compile::CompiledScenario> on_car;    // in scenario order, only where needed
  std::vector<int> on_car_of;                       // scenario -> position in on_car, or -1
  std::vector<const v1::Calibration*> calibration;  // scenario -> what was on the car, or null
  std::vector<CompiledCampaign> campaigns;
  std::vector<CompiledVariants> variants;  // of every scenario
  std::vector<CompiledStint> stints;

  std::vector<const replay::ReplayPlan*> plans() const {
    std::vector<const replay::ReplayPlan*> all;
    for (const auto& c : candidate) all.push_back(&c.plan);
    for (const auto& c : on_car) all.push_back(&c.plan);
    for (const auto& c : campaigns) c.add_plans(all);
    for (const auto& v : variants) v.add_plans(all);
    return all;
  }
  const compile::CompiledScenario& of(size_t plan) const {
    return plan < candidate.size() ? candidate[plan] : on_car[plan - candidate.size()];
  }
  // The plan that shows the calibration that was on the car.
  size_t on_car_plan(size_t scenario) const {
    return on_car_of[scenario] < 0 ? scenario : candidate.size() + static_cast<size_t>(on_car_of[scenario]);
  }
};

absl::StatusOr<Replays> compile_all(const Session& s, const std::atomic<bool>* cancel) {
  Replays replays;
  Compiler compiler(s);
  const auto cancelled = [&] { return cancel && *cancel; };
  replays.scenarios = scenarios_of(s);
  for (const auto* scenario : replays.scenarios) {
    if (cancelled()) return absl::CancelledError("the run was cancelled");
    compiler.add(*scenario, s.candidate.message, replays.candidate);
    const auto* fitted = on_the_car(s, scenario->message);
    replays.calibration.push_back(fitted ? &fitted->message : nullptr);
    const bool other = fitted && fitted->sha256 != s.candidate.sha256;
    replays.on_car_of.push_back(other ? static_cast<int>(replays.on_car.size()) : -1);
    if (other) compiler.add(*scenario, fitted->message, replays.on_car);
    replays.variants.push_back(compile_variants(s, *scenario, s.candidate.message, compiler));
  }
  for (const auto* campaign : campaigns_of(s)) {
    replays.campaigns.push_back(compile_campaign(s, *campaign, s.candidate.message, cancel, compiler));
    if (cancelled()) return absl::CancelledError("the run was cancelled");
  }
  for (const auto* stint : stints_of(s))
    replays.stints.push_back(compile_stint(s, *stint, s.candidate.message, compiler));
  if (absl::Status status = compiler.status(); !status.ok()) return status;
  return replays;
}

// Judges every scenario, then every campaign, as soon as it and those before it have been replayed.
class Judging {
 public:
  Judging(const Session& session, const Replays& replays, const CheckOptions& options)
      : session_(session),
        replays_(replays),
        options_(options),
        all_(static_cast<size_t>(count_replays(session))),
        there_(replays.plans().size()) {
    size_t first = replays.candidate.size() + replays.on_car.size();
    for (const CompiledCampaign& c : replays.campaigns) {
      campaign_starts_.push_back(first);
      first += c.count();
    }
    for (const CompiledVariants& v : replays.variants) {
      variant_starts_.push_back(first);
      first += v.count();
    }
  }

  // Folds of these plans are there; called one at a time.
  void take(const std::vector<size_t>& plans, const std::vector<measure::Folds<double>>& folds) {
    for (size_t plan : plans) there_[plan] = true;
    done_ += plans.size();
    if (options_.progress) options_.progress(done_, all_);
    while (is_next_there()) {
      results_.push_back(judge_next(folds));
      if (options_.scenario) options_.scenario(results_.back());
    }
  }
  void take_lap(size_t stint, int lap) {
    const replay::StintPlan& plan = replays_.stints[stint].plan;
    ++done_;
    if (options_.lap) options_.lap(plan.name, lap, plan.laps);
    if (options_.progress) options_.progress(done_, all_);
  }
  // After everything else; in any order.
  void take_stint(size_t stint, const std::vector<std::vector<replay::LegFolds>>& folds) {
    stint_there_.resize(replays_.stints.size());
    stint_there_[stint] = true;
    for (; next_stint_ < stint_there_.size() && stint_there_[next_stint_]; ++next_stint_) {
      results_.push_back(judge_stint(session_, replays_.stints[next_stint_], folds[next_stint_]));
      if (options_.scenario) options_.scenario(results_.back());
    }
  }
  std::vector<verdict::ScenarioResult> results() && { return std::move(results_); }

 private:
  bool is_next_there() {
    const size_t next = results_.size();
    if (next < replays_.candidate.size())
      return there_[next] && there_[replays_.on_car_plan(next)] && are_variants_there(next);
    const size_t campaign = next - replays_.candidate.size();
    if (campaign == replays_.campaigns.size()) return false;
    const size_t end = campaign_starts_[campaign] + replays_.campaigns[campaign].count();
    for (seen_ = std::max(seen_, campaign_starts_[campaign]); seen_ < end && there_[seen_];) ++seen_;
    return seen_ == end;
  }
  bool are_variants_there(size_t scenario) const {
    const auto first = there_.begin() + static_cast<long>(variant_starts_[scenario]);
    const auto end = first + static_cast<long>(replays_.variants[scenario].count());
    return std::find(first, end, false) == end;
  }
  verdict::ScenarioResult judge_next(const std::vector<measure::Folds<double>>& folds) const {
    const size_t next = results_.size();
    if (next >= replays_.candidate.size()) {
      const size_t campaign = next - replays_.candidate.size();
      const CompiledCampaign& compiled = replays_.campaigns[campaign];
      return judge_campaign(session_, compiled,
                            std::span(folds).subspan(campaign_starts_[campaign], compiled.count()));
    }
    const size_t on_car = replays_.on_car_plan(next);
    const auto& scenario = *replays_.scenarios[next];
    return judge(session_,
                 {&scenario, &replays_.candidate[next], &folds[next], &replays_.of(on_car), &folds[on_car],
                  replays_.calibration[next], baseline_scenario(*session_.library, scenario.message.name()),
                  nullptr, &replays_.variants[next],
                  std::span(folds).subspan(variant_starts_[next], replays_.variants[next].count())});
  }

  const Session& session_;
  const Replays& replays_;
  const CheckOptions& options_;
  const size_t all_;
  std::vector<bool> there_;
  std::vector<size_t> campaign_starts_;  // first plan of each campaign
  std::vector<size_t> variant_starts_;   // first plan beside each scenario
  size_t seen_ = 0;                      // plans of campaigns before this one are there
  size_t done_ = 0;
  std::vector<bool> stint_there_;
  size_t next_stint_ = 0;
  std::vector<verdict::ScenarioResult> results_;
};

// Gives the simulated time.
absl::StatusOr<double> run_stints(const Replays& replays, const CheckOptions& options, Judging& judging) {
  std::vector<const replay::StintPlan*> plans;
  for (const CompiledStint& s : replays.stints) plans.push_back(&s.plan);
  std::vector<std::vector<replay::LegFolds>> folds;
  replay::StintOptions how;
  how.threads = options.threads;
  how.cancel = options.cancel;
  how.lap = [&](size_t stint, int lap) { judging.take_lap(stint, lap); };
  how.finished = [&](size_t stint) { judging.take_stint(stint, folds); };
  if (absl::Status status = replay::run_stints(plans, how, folds); !status.ok()) return status;
  double replayed_s = 0;
  for (size_t i = 0; i < folds.size(); ++i)
    for (size_t leg = 0; leg < folds[i].size(); ++leg) {
      const replay::StintPlan& plan = *plans[i];
      replayed_s += folds[i][leg].folds.finish_tick * plan.plans[plan.legs[leg].plan].structure.plant.tick_s;
    }
  return replayed_s;
}

}  // namespace

absl::StatusOr<verdict::Run> check(const Session& session, const CheckOptions& options) {
  const auto began = std::chrono::steady_clock::now();
  if (!session.baseline_fits)
    if (absl::Status status = check_baseline(session); !status.ok()) return status;
  if (options.require_approved)
    if (absl::Status status = check_approved(session); !status.ok()) return status;
  absl::StatusOr<std::vector<verdict::CalibrationChange>> changes(absl::in_place);
  if (session.reference) changes = changes_between(session.reference->message, session.candidate.message);
  if (!changes.ok()) return changes.status();
  const auto replays = compile_all(session, options.cancel);
  if (!replays.ok()) return replays.status();
  const auto plans = replays->plans();
  if (plans.empty() && replays->stints.empty())
    return absl::InvalidArgumentError(session.library->index.name() + ": the library has nothing of tier " +
                                      verdict::word(session.tier) + "; take another --tier");
  Judging judging(session, *replays, options);
  std::vector<measure::Folds<double>> folds;
  replay::Options how;
  how.threads = options.threads;
  how.cancel = options.cancel;
  how.finished = [&](const std::vector<size_t>& plans) { judging.take(plans, folds); };
  if (absl::Status status = replay::run(plans, how, folds); !status.ok()) return status;
  const auto stints_s = run_stints(*replays, options, judging);
  if (!stints_s.ok()) return stints_s.status();
  verdict::Run run = head_of(session);
  run.event_build = options.event_build;
  run.calibration_changes = *std::move(changes);
  for (size_t i = 0; i < folds.size(); ++i)
    run.replayed_s += folds[i].finish_tick * plans[i]->structure.plant.tick_s;
  run.replayed_s += *stints_s;
  run.scenarios = std::move(judging).results();
  run.state = verdict::RunState::kCompleted;
  verdict::conclude(run);
  run.result_sha256 = verdict::result_sha256(run);
  run.duration_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  return run;
}

absl::StatusOr<verdict::Run> check(const Options& options, const CheckOptions& how) {
  const auto began = std::chrono::steady_clock::now();
  const auto session = open_session(options);
  if (!session.ok()) return session.status();
  auto run = check(*session, how);
  if (!run.ok()) return run;
  run->duration_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  if (how.judged) how.judged(*session, *run);
  return run;
}

}  // namespace brakeward::gate
