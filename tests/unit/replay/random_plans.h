// Plans that differ in everything lanes may differ in, made from a seed.
#pragma once

#include <vector>

#include "replay/plan.h"

namespace brakeward::replay {

ReplayPlan random_plan(unsigned seed);
std::vector<ReplayPlan> random_plans(int count, unsigned seed);
std::vector<const ReplayPlan*> pointers_to(const std::vector<ReplayPlan>& plans);

// Whether all folds have the same bits.
bool same_bits(const measure::Folds<double>& a, const measure::Folds<double>& b);

}  // namespace brakeward::replay
