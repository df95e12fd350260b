#include "gate/variants.h"

#include <algorithm>

#include "compile/units.h"
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

// Where feel is read of the replay.
void add_feel(const compile::CompiledScenario& compiled, const Folds& folds,
              std::vector<verdict::FeelResult>& out) {
  const measure::MeasureContext& c = compiled.context;
  if (c.feel_step_mps2 <= 0) return;
  const double unit = c.by_pedal ? 1 : compile::kMilli;
  const auto effort = [&](double x) { return x < 0 ? std::nullopt : std::optional<double>(x / unit); };
  verdict::FeelResult& feel =
      out.emplace_back(verdict::FeelResult{c.by_pedal ? "pedal" : "hand", c.by_pedal ? "N" : "mm", {}});
  for (int i = 0; i < measure::kFeelLevels; ++i)
    feel.points.push_back({c.feel_step_mps2 * (i + 1), effort(folds.feel.up[i]), effort(folds.feel.down[i])});
}

const char* word(Kind kind) {
  switch (kind) {
    case Kind::kRepeat:
      return "repeat";
    case Kind::kStep:
      return "step";
    case Kind::kMirrored:
      return "mirrored";
    case Kind::kCorner:
      return "corner";
    case Kind::kPedal:
      break;
  }
  return "pedal";
}

std::vector<verdict::Repetition> repetitions_of(const CompiledVariants& variants,
                                                const std::vector<measure::Outcome>& outcomes,
                                                const std::string& name, const measure::Outcome& own) {
  std::vector<verdict::Repetition> out;
  const auto add = [&](const char* kind, const std::string& replay, const measure::Outcome& o) {
    out.push_back({kind, replay, o.distance_m, o.delay_ms, o.deceleration_mps2});
  };
  for (size_t i = 0; i < variants.list.size(); ++i) {
    if (variants.list[i].kind == Kind::kPedal) continue;
    if (out.empty()) add("itself", name, own);
    add(word(variants.list[i].kind), variants.list[i].name, outcomes[i]);
  }
  return out;
}

void add_repeatability(const CompiledVariants& variants, const std::vector<measure::Outcome>& all,
                       const Values& values, const measure::Outcome& own, ScenarioValues& out) {
  const std::vector<size_t> repeats = of_kind(variants, Kind::kRepeat),
                            steps = of_kind(variants, Kind::kStep),
                            corners = of_kind(variants, Kind::kCorner),
                            mirrored = of_kind(variants, Kind::kMirrored);
  const auto outcomes_of = [&](const std::vector<size_t>& positions) {
    std::vector<measure::Outcome> made;
    for (const size_t i : positions) made.push_back(all[i]);
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
  add_feel(own, own_folds, out.feel);
  if (variants == nullptr || variants->list.empty()) return out;
  Values values;
  std::vector<measure::Outcome> outcomes;
  for (size_t i = 0; i < folds.size(); ++i) {
    const measure::MeasureContext& context = variants->compiled[i].context;
    values.push_back(measure::make_measures(folds[i], context));
    outcomes.push_back(measure::outcome_of(folds[i], values.back(), context));
  }
  const measure::Outcome itself = measure::outcome_of(own_folds, out.values, own.context);
  add_repeatability(*variants, outcomes, values, itself, out);
  out.repetitions = repetitions_of(*variants, outcomes, own.plan.name, itself);
  for (const size_t i : of_kind(*variants, Kind::kPedal)) {
    out.values[index_of("feel_pedal_distance")] = pedal_distance(own_folds, folds[i]);
    add_feel(variants->compiled[i], folds[i], out.feel);
  }
  return out;
}

std::string broken_variant(const CompiledVariants& variants, std::span<const Folds> folds) {
  const auto it = std::find_if(folds.begin(), folds.end(), [](const Folds& f) { return broke(f); });
  if (it == folds.end()) return "";
  const auto& compiled = variants.compiled[static_cast<size_t>(it - folds.begin())];
  return compiled.plan.name + ": " + broken_story(compiled);
}

}  // namespace brakeward::gate
