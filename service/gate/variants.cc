#include "gate/variants.h"

#include <algorithm>

#include "gate/broken.h"
#include "measure/feel.h"
#include "measure/measures.h"
#include "measure/repeatability.h"

namespace brakeward::gate {
namespace {

using measure::MeasureValue;
using Folds = measure::Folds<double>;
using Kind = scenario::VariantKind;
using State = MeasureValue::State;

size_t index_of(std::string_view name) {
  return static_cast<size_t>(measure::find_measure(name).value_or(0));
}

// Replays with the same request hold it once.
void share_input(std::shared_ptr<const replay::Input>& last, replay::ReplayPlan& plan) {
  if (!last || plan.input != *last) last = std::make_shared<const replay::Input>(std::move(plan.input));
  plan.shared_input = last;
  plan.input = {};
}

// Positions of a kind in the list.
std::vector<size_t> of_kind(const CompiledVariants& variants, Kind kind) {
  std::vector<size_t> out;
  for (size_t i = 0; i < variants.list.size(); ++i)
    if (variants.list[i].kind == kind) out.push_back(i);
  return out;
}

using Values = std::vector<std::vector<MeasureValue>>;  // of every variant

void add_repeatability(const CompiledVariants& variants, std::span<const Folds> folds, const Values& values,
                       const measure::Outcome& own, ScenarioValues& out) {
  const std::vector<size_t> repeats = of_kind(variants, Kind::kRepeat),
                            steps = of_kind(variants, Kind::kStep),
                            corners = of_kind(variants, Kind::kCorner),
                            mirrored = of_kind(variants, Kind::kMirrored);
  const auto outcomes_of = [&](const std::vector<size_t>& positions) {
    std::vector<measure::Outcome> made;
    for (const size_t i : positions)
      made.push_back(measure::outcome_of(folds[i], values[i], variants.compiled[i].context));
    return made;
  };
  measure::Outcomes outcomes{outcomes_of(repeats), outcomes_of(steps), outcomes_of(corners),
                             outcomes_of(mirrored)};
  if (!mirrored.empty()) outcomes.mirrored.insert(outcomes.mirrored.begin(), own);
  for (const measure::RepeatabilityMeasure& m : measure::repeatability_measures(outcomes)) {
    const size_t at = index_of(m.name);
    out.values[at] = m.value;
    if (!m.shown_in) continue;
    const auto& positions = m.name.starts_with("step_") ? steps : corners;
    out.shown_in[at] = variants.list[positions[*m.shown_in]].name;
  }
  for (size_t m = 0; m < out.values.size(); ++m) {
    std::vector<double> measured;
    for (const size_t i : repeats)
      if (values[i][m].state == State::kMeasured) measured.push_back(values[i][m].value);
    if (measured.size() == repeats.size()) out.spread[m] = measure::standard_deviation(measured);
  }
}

MeasureValue pedal_distance(const Folds& hand, const Folds& pedal) {
  if (measure::is_whole(hand.feel) && measure::is_whole(pedal.feel))
    return {State::kMeasured, 100 * measure::feel_distance(hand.feel, pedal.feel), {}};
  return {State::kNeverReached, 0, measure::kNotWhole};
}

}  // namespace

void CompiledVariants::add_plans(std::vector<const replay::ReplayPlan*>& plans) const {
  for (const auto& c : compiled) plans.push_back(&c.plan);
}

CompiledVariants compile_variants(const Session& session, const scenario::Loaded<v1::Scenario>& scenario,
                                  const v1::Calibration& calibration, Compiler& compiler) {
  CompiledVariants out;
  out.list = scenario::variants_of(scenario.message);
  out.compiled.reserve(out.list.size());
  std::shared_ptr<const replay::Input> last;
  for (const scenario::Variant& v : out.list) {
    const scenario::Loaded<v1::Scenario> loaded{scenario.file, v.message, ""};
    if (!compiler.add(compile_scenario(session, loaded, calibration, v.variation), out.compiled)) return out;
    share_input(last, out.compiled.back().plan);
  }
  return out;
}

ScenarioValues scenario_values(const compile::CompiledScenario& own, const Folds& own_folds,
                               const CompiledVariants* variants, std::span<const Folds> folds) {
  ScenarioValues out;
  out.values = measure::make_measures(own_folds, own.context);
  out.shown_in.resize(out.values.size());
  out.spread.resize(out.values.size(), 0);
  if (variants == nullptr || variants->list.empty()) return out;
  Values values;
  for (size_t i = 0; i < folds.size(); ++i)
    values.push_back(measure::make_measures(folds[i], variants->compiled[i].context));
  add_repeatability(*variants, folds, values, measure::outcome_of(own_folds, out.values, own.context), out);
  for (const size_t i : of_kind(*variants, Kind::kPedal))
    out.values[index_of("feel_pedal_distance")] = pedal_distance(own_folds, folds[i]);
  return out;
}

std::string broken_variant(const CompiledVariants& variants, std::span<const Folds> folds) {
  const auto it = std::find_if(folds.begin(), folds.end(), [](const Folds& f) { return broke(f); });
  if (it == folds.end()) return "";
  const auto& compiled = variants.compiled[static_cast<size_t>(it - folds.begin())];
  return compiled.plan.name + ": " + broken_story(compiled);
}

}  // namespace brakeward::gate
