// All that a session's tier is replayed with, and what comes of it. Internal to the gate.
#pragma once

#include <atomic>
#include <span>

#include "gate/campaign.h"
#include "gate/stint.h"
#include "gate/variants.h"

namespace brakeward::gate {

// Compiled: per scenario the candidate's replay and, where another calibration was on the car, that one's;
// those of every campaign, and those beside every scenario. Stints are run after them.
struct Replays {
  std::vector<const scenario::Loaded<v1::Scenario>*> scenarios;
  std::vector<compile::CompiledScenario> candidate;
  std::vector<compile::CompiledScenario> on_car;    // in scenario order, only where needed
  std::vector<int> on_car_of;                       // scenario -> position in on_car, or -1
  std::vector<const v1::Calibration*> calibration;  // scenario -> what was on the car, or null
  std::vector<CompiledCampaign> campaigns;
  std::vector<CompiledVariants> variants;  // of every scenario
  std::vector<CompiledStint> stints;
  std::vector<size_t> campaign_starts;  // first plan of each campaign
  std::vector<size_t> variant_starts;   // first plan beside each scenario

  std::vector<const replay::ReplayPlan*> plans() const;
  std::vector<const replay::StintPlan*> stint_plans() const;
  // Of the candidate's plans and those of what was on the car.
  const compile::CompiledScenario& of(size_t plan) const {
    return plan < candidate.size() ? candidate[plan] : on_car[plan - candidate.size()];
  }
  // The plan that shows the calibration that was on the car.
  size_t on_car_plan(size_t scenario) const {
    return on_car_of[scenario] < 0 ? scenario : candidate.size() + static_cast<size_t>(on_car_of[scenario]);
  }
};

// InvalidArgument with every fault, one a line, and where the tier has nothing to replay; Cancelled when the
// flag was raised.
absl::StatusOr<Replays> compile_replays(const Session& session, const std::atomic<bool>* cancel);

struct Replayed {
  Replays replays;
  std::vector<measure::Folds<double>> folds;               // of replays.plans()
  std::vector<std::vector<replay::LegFolds>> stint_folds;  // of replays.stint_plans()

  std::span<const measure::Folds<double>> of_campaign(size_t campaign) const {
    return std::span(folds).subspan(replays.campaign_starts[campaign], replays.campaigns[campaign].count());
  }
  std::span<const measure::Folds<double>> beside(size_t scenario) const {
    return std::span(folds).subspan(replays.variant_starts[scenario], replays.variants[scenario].count());
  }
  double simulated_s() const;
};

// Compiles and replays, on this many threads; 0: one per core.
absl::StatusOr<Replayed> replay_all(const Session& session, int threads);

// The run of a session with the same candidate, whose baseline may have been made of these replays.
absl::StatusOr<verdict::Run> judge_all(const Session& session, const Replayed& replayed);

}  // namespace brakeward::gate
