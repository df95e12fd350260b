#include "gate/broken.h"

#include <cmath>
#include <cstdio>
#include <span>

#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::gate {
namespace {

using Row = std::span<const double>;

Row row_of(const replay::Trace& trace, long tick) {
  constexpr size_t n = signal::kObservableCount;
  return Row(trace.rows).subspan(static_cast<size_t>(tick) * n, n);
}

std::string non_finite_in(Row row) {
  std::string names;
  for (int i = 0; i < signal::kObservableCount; ++i)
    if (!std::isfinite(row[static_cast<size_t>(i)]))
      names += std::string(names.empty() ? "" : ", ") + signal::kObservables[i].name;
  return names.empty() ? "a signal" : names;
}

std::string values_in(Row row) {
  constexpr size_t kShown[] = {signal::column_of("speed"), signal::column_of("deceleration"),
                               signal::column_of("pressure_front"), signal::column_of("pressure_rear")};
  std::string text;
  for (const size_t i : kShown) {
    const signal::Observable& o = signal::kObservables[i];
    char value[64];
    std::snprintf(value, sizeof value, "%s %.6g %s", o.name, row[i], o.unit);
    text += std::string(text.empty() ? "" : ", ") + value;
  }
  return text;
}

}  // namespace

bool broke(const measure::Folds<double>& folds) {
  return folds.sound < 0.5;
}

std::string broken_story(const compile::CompiledScenario& scenario) {
  const replay::Trace trace = replay::trace(scenario.plan);
  if (trace.ticks < 1) return "the replay turned non-finite before its first tick";
  const Row last = row_of(trace, trace.ticks - 1);
  char time[48];
  std::snprintf(time, sizeof time, "%.6g s", last[0]);
  const std::string good = trace.ticks > 1
                               ? "the last good values are " + values_in(row_of(trace, trace.ticks - 2))
                               : std::string("no tick was good");
  return std::string("the replay turned non-finite at ") + time + " (" + non_finite_in(last) + "); " + good +
         ". Check the vehicle's tyres and brakes and the calibration for values that do not belong together; "
         "`brakeward export trace` writes every signal up to there";
}

}  // namespace brakeward::gate
