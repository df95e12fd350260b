// Stints in a run: compiled, and from the folds of all their legs to one result. Internal to the gate.
#pragma once

#include <span>

#include "gate/session.h"
#include "measure/stint_measures.h"
#include "replay/stint.h"
#include "scenario/stint.h"

namespace brakeward::gate {

struct CompiledStint {
  const scenario::Loaded<v1::Stint>* document = nullptr;
  std::vector<scenario::StintStretch> stretches;
  replay::StintPlan plan;     // a leg a stretch
  std::vector<bool> is_stop;  // by plan
  measure::StintContext context;
};

// What cannot be compiled is noted with the compiler; the result is then incomplete.
CompiledStint compile_stint(const Session& session, const scenario::Loaded<v1::Stint>& stint,
                            const v1::Calibration& calibration, Compiler& compiler);

// Of sound folds.
std::vector<measure::MeasureValue> stint_values(const CompiledStint& stint,
                                                std::span<const replay::LegFolds> folds);

// Laps and parts, of sound folds.
verdict::StintResult stint_result(const CompiledStint& stint, std::span<const replay::LegFolds> folds);

// Against the limits of the stint and the baseline's values.
verdict::ScenarioResult judge_stint(const Session& session, const CompiledStint& stint,
                                    std::span<const replay::LegFolds> folds);

// Hash of a stint with the scenarios its laps are made of.
std::string stint_sha256(const scenario::Library& library, const scenario::Loaded<v1::Stint>& stint);

// In which leg the stint broke; empty when all are sound.
std::string broken_leg(const CompiledStint& stint, std::span<const replay::LegFolds> folds);

}  // namespace brakeward::gate
