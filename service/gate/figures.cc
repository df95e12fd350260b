#include "gate/figures.h"

#include <algorithm>

#include "gate/broken.h"
#include "gate/rating.h"
#include "gate/stint.h"
#include "gate/variants.h"
#include "gate/vehicle_sheet.h"
#include "measure/measures.h"
#include "signal/observables.h"
#include "verdict/concat.h"

namespace brakeward::gate {
namespace {

const scenario::Loaded<v1::Scenario>* scenario_named(const Session& s, const std::string& name) {
  for (const auto& scenario : s.library->scenarios)
    if (scenario.message.name() == name) return &scenario;
  return nullptr;
}

std::string fault_words(const v1::Fault& f) {
  const auto spoken = [](std::string name, std::string_view prefix) {
    name.erase(0, prefix.size());
    for (char& c : name) c = c == '_' ? ' ' : static_cast<char>(c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c);
    return name;
  };
  const std::string kind = spoken(v1::FaultKind_Name(f.kind()), "FAULT_KIND_");
  if (f.track() != v1::REQUEST_TRACK_UNSPECIFIED)
    return verdict::concat(kind, ", ", spoken(v1::RequestTrack_Name(f.track()), "REQUEST_TRACK_"));
  if (f.circuit() != v1::CIRCUIT_UNSPECIFIED)
    return verdict::concat(kind, ", ", spoken(v1::Circuit_Name(f.circuit()), "CIRCUIT_"));
  return kind;
}

std::optional<report::ResponseLevels> levels_of(const measure::MeasureContext& context) {
  if (context.pressure_entry) return std::nullopt;
  report::ResponseLevels out;
  for (size_t i = 0; i < 3; ++i) {
    out.level_bar[i] = context.level_pa[i + 1] * 1e-5;
    out.reference_s[i] = context.rise_s[i + 1];
  }
  return out;
}

absl::StatusOr<report::Figure> figure_of(const Session& s, const scenario::Loaded<v1::Scenario>& scenario) {
  const auto candidate = compile_scenario(s, scenario, s.candidate.message);
  if (!candidate.ok()) return candidate.status();
  report::ScenarioTraces traces;
  traces.scenario = scenario.message.name();
  traces.tick_s = candidate->context.tick_s;
  traces.candidate = replay::trace(candidate->plan).rows;
  if (s.reference) {
    const auto baseline = compile_scenario(s, scenario, s.reference->message);
    if (!baseline.ok()) return baseline.status();
    traces.baseline = replay::trace(baseline->plan).rows;
  }
  const size_t ticks = std::max(traces.candidate.size(), traces.baseline.size()) / signal::kObservableCount;
  traces.recorded_speed_mps = recorded_speed(s, scenario.message, traces.tick_s, ticks);
  for (const v1::Fault& f : scenario.message.faults())
    traces.faults.push_back({fault_words(f), f.start_s(), f.end_s()});
  traces.response = levels_of(candidate->context);
  return report::make_figure(traces);
}

absl::StatusOr<report::BalanceCurve> balance_of(const Session& s, const v1::Calibration& calibration) {
  const auto sheet = make_vehicle_sheet(s.library->vehicle.message, &calibration);
  if (!sheet.ok()) return sheet.status();
  report::BalanceCurve out{calibration.name(), sheet->distribution, sheet->rear_above_front_from_g, {}};
  for (const SheetUtilization& u : sheet->utilization)
    out.points.push_back(
        {u.deceleration_g, u.ideal_front_share, u.front_share, u.adhesion.front(), u.adhesion.rear()});
  return out;
}

absl::Status draw_balance(const Session& s, report::HtmlExtras& out) {
  std::vector<const v1::Calibration*> calibrations = {&s.candidate.message};
  if (s.reference) calibrations.push_back(&s.reference->message);
  for (const v1::Calibration* c : calibrations) {
    auto curve = balance_of(s, *c);
    if (!curve.ok()) return curve.status();
    out.balance.push_back(*std::move(curve));
  }
  return absl::OkStatus();
}

absl::Status draw_figures(const Session& s, const verdict::Run& run, report::HtmlExtras& out) {
  if (absl::Status machine = replay::check_machine(); !machine.ok()) return machine;
  for (const verdict::ScenarioResult* result : report::scenarios_to_draw(run)) {
    const auto* scenario = scenario_named(s, result->scenario);
    if (scenario == nullptr) continue;
    auto figure = figure_of(s, *scenario);
    if (!figure.ok()) return figure.status();
    out.figures.push_back(*std::move(figure));
  }
  return absl::OkStatus();
}

// The run's scenarios with feel or repetitions, replayed together.
absl::Status repeat_baseline(const Session& s, const verdict::Run& run, report::HtmlExtras& out) {
  struct Replayed {
    std::vector<compile::CompiledScenario> own;
    CompiledVariants variants;
  };
  std::vector<Replayed> all;
  Compiler compiler(s);
  for (const verdict::ScenarioResult& result : run.scenarios) {
    const auto* scenario = scenario_named(s, result.scenario);
    if (scenario == nullptr || (result.feel.empty() && result.repetitions.empty())) continue;
    Replayed& r = all.emplace_back();
    compiler.add(*scenario, s.reference->message, r.own);
    r.variants = compile_variants(s, *scenario, s.reference->message, compiler);
  }
  if (absl::Status status = compiler.status(); !status.ok()) return status;
  std::vector<const replay::ReplayPlan*> plans;
  for (const Replayed& r : all) {
    plans.push_back(&r.own.front().plan);
    r.variants.add_plans(plans);
  }
  std::vector<measure::Folds<double>> folds;
  if (absl::Status status = replay::run(plans, {}, folds); !status.ok()) return status;
  size_t first = 0;
  for (const Replayed& r : all) {
    const auto variants = std::span(folds).subspan(first + 1, r.variants.count());
    verdict::ScenarioResult& result = out.baseline.emplace_back();
    result.scenario = r.own.front().plan.name;
    if (!broke(folds[first]) && broken_variant(r.variants, variants).empty()) {
      ScenarioValues values = scenario_values(r.own.front(), folds[first], &r.variants, variants);
      result.feel = std::move(values.feel);
      result.repetitions = std::move(values.repetitions);
    }
    first += 1 + r.variants.count();
  }
  return absl::OkStatus();
}

absl::Status drive_baseline(const Session& s, report::HtmlExtras& out) {
  std::vector<CompiledStint> stints;
  Compiler compiler(s);
  for (const auto* stint : stints_of(s))
    stints.push_back(compile_stint(s, *stint, s.reference->message, compiler));
  if (absl::Status status = compiler.status(); !status.ok()) return status;
  std::vector<const replay::StintPlan*> plans;
  for (const CompiledStint& stint : stints) plans.push_back(&stint.plan);
  std::vector<std::vector<replay::LegFolds>> folds;
  if (absl::Status status = replay::run_stints(plans, {}, folds); !status.ok()) return status;
  for (size_t i = 0; i < stints.size(); ++i) {
    verdict::ScenarioResult& result = out.baseline.emplace_back();
    result.scenario = stints[i].plan.name;
    if (broken_leg(stints[i], folds[i]).empty()) result.stint = stint_result(stints[i], folds[i]);
  }
  return absl::OkStatus();
}

absl::Status draw_baseline(const Session& s, const verdict::Run& run, report::HtmlExtras& out) {
  if (s.reference == nullptr) return absl::OkStatus();
  if (absl::Status status = repeat_baseline(s, run, out); !status.ok()) return status;
  return drive_baseline(s, out);
}

}  // namespace

report::HtmlExtras draw(const Session& session, const verdict::Run& run) {
  report::HtmlExtras out;
  if (const absl::Status status = draw_figures(session, run, out); !status.ok()) {
    out.figures.clear();
    out.why_no_figures = std::string(status.message());
  }
  if (const absl::Status status = draw_balance(session, out); !status.ok()) {
    out.balance.clear();
    out.why_no_balance = std::string(status.message());
  }
  if (const absl::Status status = draw_baseline(session, run, out); !status.ok()) {
    out.baseline.clear();
    out.why_no_baseline = std::string(status.message());
  }
  return out;
}

}  // namespace brakeward::gate
