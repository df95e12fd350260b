#include "gate/replays.h"

namespace brakeward::gate {

std::vector<const replay::ReplayPlan*> Replays::plans() const {
  std::vector<const replay::ReplayPlan*> all;
  for (const auto& c : candidate) all.push_back(&c.plan);
  for (const auto& c : on_car) all.push_back(&c.plan);
  for (const auto& c : campaigns) c.add_plans(all);
  for (const auto& v : variants) v.add_plans(all);
  return all;
}

std::vector<const replay::StintPlan*> Replays::stint_plans() const {
  std::vector<const replay::StintPlan*> all;
  for (const CompiledStint& s : stints) all.push_back(&s.plan);
  return all;
}

absl::StatusOr<Replays> compile_replays(const Session& s, const std::atomic<bool>* cancel) {
  Replays out;
  Compiler compiler(s);
  const auto cancelled = [&] { return cancel && *cancel; };
  out.scenarios = scenarios_of(s);
  for (const auto* scenario : out.scenarios) {
    if (cancelled()) return absl::CancelledError("the run was cancelled");
    compiler.add(*scenario, s.candidate.message, out.candidate);
    const auto* fitted = on_the_car(s, scenario->message);
    out.calibration.push_back(fitted ? &fitted->message : nullptr);
    const bool other = fitted && fitted->sha256 != s.candidate.sha256;
    out.on_car_of.push_back(other ? static_cast<int>(out.on_car.size()) : -1);
    if (other) compiler.add(*scenario, fitted->message, out.on_car);
    out.variants.push_back(compile_variants(s, *scenario, s.candidate.message, compiler));
  }
  for (const auto* campaign : campaigns_of(s)) {
    out.campaigns.push_back(compile_campaign(s, *campaign, s.candidate.message, cancel, compiler));
    if (cancelled()) return absl::CancelledError("the run was cancelled");
  }
  for (const auto* stint : stints_of(s))
    out.stints.push_back(compile_stint(s, *stint, s.candidate.message, compiler));
  if (absl::Status status = compiler.status(); !status.ok()) return status;
  if (out.scenarios.empty() && out.campaigns.empty() && out.stints.empty())
    return absl::InvalidArgumentError(s.library->index.name() + ": the library has nothing of tier " +
                                      verdict::word(s.tier) + "; take another --tier");
  size_t next = out.candidate.size() + out.on_car.size();
  for (const CompiledCampaign& c : out.campaigns) {
    out.campaign_starts.push_back(next);
    next += c.count();
  }
  for (const CompiledVariants& v : out.variants) {
    out.variant_starts.push_back(next);
    next += v.count();
  }
  return out;
}

double Replayed::simulated_s() const {
  const auto plans = replays.plans();
  double short_s = 0, stints_s = 0;
  for (size_t i = 0; i < folds.size(); ++i)
    short_s += folds[i].finish_tick * plans[i]->structure.plant.tick_s;
  for (size_t i = 0; i < stint_folds.size(); ++i)
    for (size_t leg = 0; leg < stint_folds[i].size(); ++leg) {
      const replay::StintPlan& plan = replays.stints[i].plan;
      stints_s +=
          stint_folds[i][leg].folds.finish_tick * plan.plans[plan.legs[leg].plan].structure.plant.tick_s;
    }
  return short_s + stints_s;
}

absl::StatusOr<Replayed> replay_all(const Session& session, int threads) {
  auto replays = compile_replays(session, nullptr);
  if (!replays.ok()) return replays.status();
  Replayed out{*std::move(replays), {}, {}};
  replay::Options how;
  how.threads = threads;
  if (absl::Status status = replay::run(out.replays.plans(), how, out.folds); !status.ok()) return status;
  replay::StintOptions stints;
  stints.threads = threads;
  if (absl::Status status = replay::run_stints(out.replays.stint_plans(), stints, out.stint_folds);
      !status.ok())
    return status;
  return out;
}

}  // namespace brakeward::gate
