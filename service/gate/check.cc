#include "gate/check.h"

#include <algorithm>
#include <chrono>
#include <numeric>

#include "gate/judge.h"
#include "gate/replays.h"
#include "verdict/tolerance.h"

namespace brakeward::gate {
namespace {

// Judges every scenario, then every campaign, as soon as it and those before it have been replayed.
class Judging {
 public:
  Judging(const Session& session, const Replayed& replayed, const CheckOptions& options)
      : session_(session),
        replayed_(replayed),
        replays_(replayed.replays),
        options_(options),
        all_(static_cast<size_t>(count_replays(session))),
        there_(replays_.plans().size()) {}

  // Folds of these plans are there; called one at a time.
  void take(const std::vector<size_t>& plans) {
    for (size_t plan : plans) there_[plan] = true;
    done_ += plans.size();
    if (options_.progress) options_.progress(done_, all_);
    while (is_next_there()) {
      results_.push_back(judge_next());
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
  void take_stint(size_t stint) {
    stint_there_.resize(replays_.stints.size());
    stint_there_[stint] = true;
    for (; next_stint_ < stint_there_.size() && stint_there_[next_stint_]; ++next_stint_) {
      results_.push_back(
          judge_stint(session_, replays_.stints[next_stint_], replayed_.stint_folds[next_stint_]));
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
    const size_t first = replays_.campaign_starts[campaign];
    const size_t end = first + replays_.campaigns[campaign].count();
    for (seen_ = std::max(seen_, first); seen_ < end && there_[seen_];) ++seen_;
    return seen_ == end;
  }
  bool are_variants_there(size_t scenario) const {
    const auto first = there_.begin() + static_cast<long>(replays_.variant_starts[scenario]);
    const auto end = first + static_cast<long>(replays_.variants[scenario].count());
    return std::find(first, end, false) == end;
  }
  verdict::ScenarioResult judge_next() const {
    const size_t next = results_.size();
    if (next >= replays_.candidate.size()) {
      const size_t campaign = next - replays_.candidate.size();
      return judge_campaign(session_, replays_.campaigns[campaign], replayed_.of_campaign(campaign));
    }
    const size_t on_car = replays_.on_car_plan(next);
    const auto& scenario = *replays_.scenarios[next];
    return judge(session_, {&scenario, &replays_.candidate[next], &replayed_.folds[next],
                            &replays_.of(on_car), &replayed_.folds[on_car], replays_.calibration[next],
                            baseline_scenario(*session_.library, scenario.message.name()),
                            &replays_.variants[next], replayed_.beside(next)});
  }

  const Session& session_;
  const Replayed& replayed_;  // folds come one after another
  const Replays& replays_;
  const CheckOptions& options_;
  const size_t all_;
  std::vector<bool> there_;
  size_t seen_ = 0;  // plans of campaigns before this one are there
  size_t done_ = 0;
  std::vector<bool> stint_there_;
  size_t next_stint_ = 0;
  std::vector<verdict::ScenarioResult> results_;
};

absl::Status replay_into(Replayed& replayed, const CheckOptions& options, Judging& judging) {
  replay::Options how;
  how.threads = options.threads;
  how.cancel = options.cancel;
  how.finished = [&](const std::vector<size_t>& plans) { judging.take(plans); };
  if (absl::Status status = replay::run(replayed.replays.plans(), how, replayed.folds); !status.ok())
    return status;
  replay::StintOptions stints;
  stints.threads = options.threads;
  stints.cancel = options.cancel;
  stints.lap = [&](size_t stint, int lap) { judging.take_lap(stint, lap); };
  stints.finished = [&](size_t stint) { judging.take_stint(stint); };
  return replay::run_stints(replayed.replays.stint_plans(), stints, replayed.stint_folds);
}

absl::StatusOr<verdict::Run> conclude(const Session& session, const Replayed& replayed,
                                      std::vector<verdict::ScenarioResult> results) {
  verdict::Run run = head_of(session);
  if (session.reference) {
    auto changes = changes_between(session.reference->message, session.candidate.message);
    if (!changes.ok()) return changes.status();
    run.calibration_changes = *std::move(changes);
  }
  run.replayed_s = replayed.simulated_s();
  run.scenarios = std::move(results);
  run.state = verdict::RunState::kCompleted;
  verdict::conclude(run);
  run.result_sha256 = verdict::result_sha256(run);
  return run;
}

}  // namespace

absl::StatusOr<verdict::Run> judge_all(const Session& session, const Replayed& replayed) {
  const CheckOptions options;
  Judging judging(session, replayed, options);
  std::vector<size_t> plans(replayed.folds.size());
  std::iota(plans.begin(), plans.end(), size_t{0});
  judging.take(plans);
  for (size_t i = 0; i < replayed.stint_folds.size(); ++i) judging.take_stint(i);
  return conclude(session, replayed, std::move(judging).results());
}

absl::StatusOr<verdict::Run> check(const Session& session, const CheckOptions& options) {
  const auto began = std::chrono::steady_clock::now();
  if (!session.baseline_fits)
    if (absl::Status status = check_baseline(session); !status.ok()) return status;
  if (options.require_approved)
    if (absl::Status status = check_approved(session); !status.ok()) return status;
  auto replays = compile_replays(session, options.cancel);
  if (!replays.ok()) return replays.status();
  Replayed replayed{*std::move(replays), {}, {}};
  Judging judging(session, replayed, options);
  if (absl::Status status = replay_into(replayed, options, judging); !status.ok()) return status;
  auto run = conclude(session, replayed, std::move(judging).results());
  if (!run.ok()) return run;
  run->event_build = options.event_build;
  run->duration_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
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
