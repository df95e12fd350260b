#include "replay/stint.h"

#include <algorithm>
#include <mutex>

#include "replay/machine.h"
#include "replay/replay.h"
#include "replay/workers.h"

namespace brakeward::replay {
namespace {

void change_input(const StintLeg& leg, Input& input) {
  for (double& travel : input[kHandTravel])
    travel = std::max(leg.resting_travel, leg.request_factor * travel);
  for (double& force : input[kPedalForce]) force *= leg.request_factor;
  for (double& speed : input[kTargetSpeed])
    if (speed > 0) speed *= leg.speed_factor;
}

// What of a plan's params belongs to the leg.
void change_params(const StintLeg& leg, ReplayParams<double>& params) {
  plant::PlantParams<double>& car = params.plant;
  car.mass = leg.mass;
  car.static_front = leg.static_front;
  car.cog_height = leg.cog_height;
  car.ambient = leg.ambient;
  car.start_speed *= leg.speed_factor;
  if (leg.last_tick >= 0) params.last_tick = leg.last_tick;
}

bool drives_as_planned(const StintLeg& leg) {
  return leg.request_factor == 1 && leg.speed_factor == 1 && leg.resting_travel <= 0;
}

// Legs of one stint, one after another.
class StintRun {
 public:
  StintRun(const StintPlan& stint, const StintOptions& options)
      : stint_(stint),
        options_(options),
        sides_alike_(std::all_of(stint.plans.begin(), stint.plans.end(), [](const ReplayPlan& plan) {
          return structure_of(plan).plant.sides_alike;
        })) {}

  template <class Lap>
  std::vector<LegFolds> run(const Lap& lap) {
    std::vector<LegFolds> out;
    out.reserve(stint_.legs.size());
    for (size_t i = 0; i < stint_.legs.size(); ++i) {
      run_leg(stint_.legs[i], out.emplace_back());
      if (is_raised(options_.cancel) || out.back().folds.sound < 0.5) return out;
      const bool over = i + 1 == stint_.legs.size() || stint_.legs[i + 1].lap != stint_.legs[i].lap;
      if (over) lap(stint_.legs[i].lap);
    }
    return out;
  }

 private:
  void run_leg(const StintLeg& leg, LegFolds& out) {
    const ReplayPlan& plan = stint_.plans[leg.plan];
    ReplayParams<double> params = plan.params;
    change_params(leg, params);
    BatchJob job{};
    job.structure = plan.structure;
    job.structure.plant.sides_alike = sides_alike_;
    job.lanes = 1;
    job.stint = true;
    if (options_.cancel) job.stop = is_raised, job.stop_context = options_.cancel;
    LaneJob& lane = job.lane[0];
    lane = lane_of(plan, &out.folds, nullptr);
    Input changed;
    if (!drives_as_planned(leg)) {
      changed = plan.input;
      change_input(leg, changed);
      for (size_t c = 0; c < changed.size(); ++c) lane.input[c] = changed[c].data();
    }
    lane.params = &params;
    lane.from = begun_ ? &kept_ : nullptr;
    lane.to = &kept_;
    lane.stint = &out.stint;
    run_double(job);
    begun_ = true;
  }

  const StintPlan& stint_;
  const StintOptions& options_;
  const bool sides_alike_;  // on every leg: what one side keeps the other must too
  KeptState kept_{};
  bool begun_ = false;
};

}  // namespace

ReplayPlan plan_of(const StintPlan& stint, const StintLeg& leg) {
  ReplayPlan out = stint.plans[leg.plan];
  out.name = stint.name + "/" + out.name;
  change_params(leg, out.params);
  if (!drives_as_planned(leg)) change_input(leg, out.input);
  return out;
}

absl::Status run_stints(std::span<const StintPlan* const> stints, const StintOptions& options,
                        std::vector<std::vector<LegFolds>>& folds) {
  if (absl::Status machine = check_machine(); !machine.ok()) return machine;
  folds.assign(stints.size(), {});
  std::atomic<size_t> next{0};
  std::mutex reporting;
  const auto work = [&] {
    for (size_t i = next++; i < stints.size() && !is_raised(options.cancel); i = next++) {
      folds[i] = StintRun(*stints[i], options).run([&](int lap) {
        const std::lock_guard lock(reporting);
        if (options.lap) options.lap(i, lap);
      });
      const std::lock_guard lock(reporting);
      if (options.finished && !is_raised(options.cancel)) options.finished(i);
    }
  };
  work_together(options.threads, stints.size(), work);
  return is_raised(options.cancel) ? absl::CancelledError("the run was cancelled") : absl::OkStatus();
}

}  // namespace brakeward::replay
