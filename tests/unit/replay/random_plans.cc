#include "unit/replay/random_plans.h"

#include <cstring>
#include <random>

#include "reference/sample_plan.h"

namespace brakeward::replay {
namespace {

class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_()) * 0x1p-32);
  }
  bool one_in(int n) { return engine_() % static_cast<unsigned>(n) == 0; }

 private:
  std::mt19937 engine_;
};

}  // namespace

ReplayPlan random_plan(unsigned seed) {
  Dice dice(seed);
  reference::SampleOptions o;
  o.start_speed = dice.between(8, 60);
  o.travel = dice.between(0.01, 0.038);
  o.onset_s = dice.between(0.05, 0.5);
  o.rise_s = dice.one_in(3) ? 0 : dice.between(0.05, 0.6);
  if (dice.one_in(3)) o.release_s = dice.between(1, 2);
  o.length_s = dice.between(1, 6);
  o.grade = dice.between(-0.1, 0.1);
  o.ends_standing = !dice.one_in(4);
  ReplayPlan plan = dice.one_in(5) ? reference::sample_pressure_plan(o, dice.between(10e5, 70e5), 20e5)
                                   : reference::sample_plan(o);
  reference::set_friction(dice.between(0.3, 1.1), dice.between(0.3, 1.1), plan);
  if (dice.one_in(2)) {  // a road with more segments than its neighbours in the batch
    plan.params.plant.road.friction[0] =
        reference::curve({{0, 1}, {20, 0.6}, {35, 0.9}, {60, 0.8}}, &plan.structure.plant.friction_segments);
  }
  plan.params.plant.mass = dice.between(1100, 2200);
  plan.params.plant.actuator[0].dead_ticks = dice.between(0, 60);
  plan.params.control.balance.front_share = dice.between(0.5, 0.7);
  if (dice.one_in(3)) {
    plan.params.fault.hand[0] = {dice.between(300, 900), dice.between(1000, 1800), dice.between(0, 1), 0.5};
    plan.params.fold.fault_start_tick = plan.params.fault.hand[0].start_tick;
    plan.params.fold.fault_end_tick = plan.params.fault.hand[0].end_tick;
  }
  for (size_t i = 200; i < plan.input[0].size(); i += 2) {
    plan.input[kRecordedDeceleration][i] = 5;
    plan.input[kRecordedPressure][i] = 30e5;
  }
  return plan;
}

std::vector<ReplayPlan> random_plans(int count, unsigned seed) {
  std::vector<ReplayPlan> plans;
  for (int i = 0; i < count; ++i) plans.push_back(random_plan(seed + static_cast<unsigned>(i)));
  return plans;
}

std::vector<const ReplayPlan*> pointers_to(const std::vector<ReplayPlan>& plans) {
  std::vector<const ReplayPlan*> out;
  for (const ReplayPlan& p : plans) out.push_back(&p);
  return out;
}

bool same_bits(const measure::Folds<double>& a, const measure::Folds<double>& b) {
  // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
  return std::memcmp(&a, &b, sizeof(a)) == 0;
}

}  // namespace brakeward::replay
