#include <algorithm>

#include "compile/parts.h"

namespace brakeward::compile {
namespace {

long tick_of(double seconds, double tick_s) {
  return static_cast<long>(whole_ticks(seconds / tick_s));
}

}  // namespace

absl::StatusOr<CompiledScenario> compile_change_over(const Sources& src, const ChangeOver& change) {
  auto out = compile(src);
  if (!out.ok()) return out;
  const double tick_s = out->context.tick_s;
  const bool to_pedal = change.to_control == v1::REQUEST_CONTROL_PEDAL;
  auto& taken = out->plan.input[to_pedal ? replay::kPedalForce : replay::kHandTravel];
  std::fill(taken.begin() + tick_of(change.held_from_s, tick_s), taken.end(), change.held);
  CompiledScenario after = *out;
  if (absl::Status s = compile_reference(src, *out); !s.ok()) return s;
  v1::Scenario selected = src.scenario;
  selected.set_selected_control(change.to_control);
  if (absl::Status s = compile_reference({src.vehicle, src.calibration, src.reference, selected}, after);
      !s.ok())
    return s;
  const long at = tick_of(change.at_s, tick_s);
  const auto& asked = after.plan.input[replay::kReferenceFront];
  std::copy(asked.begin() + at, asked.end(), out->plan.input[replay::kReferenceFront].begin() + at);
  return out;
}

}  // namespace brakeward::compile
