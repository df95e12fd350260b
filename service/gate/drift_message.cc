#include "gate/drift.h"
#include "gate/run_message.h"

namespace brakeward::gate {
namespace {

v1::DriftSeries to_message(const verdict::DriftSeries& s) {
  v1::DriftSeries out;
  out.set_scenario(s.scenario);
  out.set_measure(s.measure);
  if (const auto at = measure::find_measure(s.measure))
    out.set_unit(std::string(measure::catalogue()[static_cast<size_t>(*at)].unit));
  if (s.tolerance) out.set_tolerance(*s.tolerance);
  if (s.drift_tolerance) out.set_drift_tolerance(*s.drift_tolerance);
  out.set_two_sided(s.two_sided);
  for (const verdict::DriftStep& step : s.steps) {
    v1::DriftStep* to = out.add_steps();
    if (step.value) to->set_value(*step.value);
    if (step.step) to->set_step(*step.step);
    if (step.sum) to->set_sum(*step.sum);
  }
  if (s.sum) out.set_sum(*s.sum);
  if (s.drift_used) out.set_drift_used(*s.drift_used);
  out.set_verdict(to_verdict(s.verdict));
  out.set_reason(s.reason);
  return out;
}

}  // namespace

v1::Drift to_message(const verdict::Drift& d) {
  v1::Drift out;
  out.set_season(d.season);
  out.set_season_sha256(d.season_sha256);
  out.set_library_name(d.library_name);
  out.set_vehicle_name(d.vehicle_name);
  out.set_vehicle_sha256(d.vehicle_sha256);
  out.set_numerics_version(d.numerics_version);
  out.set_verdict(to_verdict(d.verdict));
  for (const verdict::DriftBuild& b : d.builds) {
    v1::DriftBuild* to = out.add_builds();
    to->set_name(b.name);
    to->set_held_on(b.held_on);
    to->set_calibration_name(b.calibration_name);
    to->set_calibration_sha256(b.calibration_sha256);
  }
  for (const verdict::DriftSeries& s : d.series) *out.add_series() = to_message(s);
  out.set_caution(verdict::caution());
  return out;
}

}  // namespace brakeward::gate
