#include "gate/compare.h"

#include "gate/proposal.h"
#include "gate/replays.h"
#include "gate/run_message.h"
#include "report/order.h"
#include "scenario/references.h"

namespace brakeward::gate {
namespace {

using Calibration = scenario::Loaded<v1::Calibration>;

// The car as the library has it and as it will be.
struct Cars {
  Session old_car, new_car;
};

absl::StatusOr<Cars> open_cars(const CompareOptions& options) {
  Cars out;
  auto old_car = open_session(options.run);
  Options changed = options.run;
  changed.load.vehicle_file = options.new_vehicle;
  auto new_car = open_session(changed);
  // Documents that both read are told of once, by the first.
  if (!old_car.ok()) return old_car.status();
  if (!new_car.ok()) return new_car.status();
  return Cars{*std::move(old_car), *std::move(new_car)};
}

absl::StatusOr<Calibration> old_calibration_of(const CompareOptions& options, const Session& session) {
  if (options.old_calibration.empty()) {
    if (session.reference) return *session.reference;
    return absl::InvalidArgumentError(
        session.library->index.name() +
        ": the library has no baseline whose calibration is the old one; name it "
        "with --old-calibration");
  }
  document::Faults faults;
  Calibration out = scenario::load_document<v1::Calibration>(options.old_calibration, faults);
  if (faults.empty()) scenario::check_calibration(*session.library, out, faults);
  if (!faults.empty()) return faults.status();
  return out;
}

absl::Status check_changed(const Session& old_car, const Session& new_car) {
  if (old_car.library->vehicle.sha256 != new_car.library->vehicle.sha256) return absl::OkStatus();
  return absl::InvalidArgumentError(
      new_car.library->vehicle.file.string() +
      ": has the content of the library's vehicle, so that no hardware changes; name the "
      "changed vehicle with --vehicle, or compare calibrations with `brakeward check`");
}

// The session with the values of the old calibration on the old car as its baseline.
Session against(const Session& session, const v1::Baseline& values, const Calibration& candidate,
                const Calibration& old_calibration) {
  Session out = with_baseline(session, values, "the old calibration on the old car");
  out.candidate = candidate;
  out.reference = &old_calibration;
  return out;
}

verdict::ComparedScenario join(const verdict::ScenarioResult& old_on_new,
                               const verdict::ScenarioResult& new_on_new) {
  verdict::ComparedScenario out;
  out.scenario = old_on_new.scenario;
  for (const verdict::ScenarioResult* s : {&old_on_new, &new_on_new})
    if (s->verdict == verdict::Verdict::kError && out.reason.empty())
      out.reason =
          (s == &old_on_new ? "old calibration on the new car: " : "new calibration on the new car: ") +
          s->reason;
  if (!out.reason.empty()) return out;
  for (const measure::MeasureInfo& info : measure::catalogue()) {
    const std::string name(info.name);
    const auto* first = report::measure_named(old_on_new.measures, name);
    const auto* second = report::measure_named(new_on_new.measures, name);
    verdict::ComparedMeasure m;
    m.measure = name;
    for (const auto* found : {first, second}) {
      if (found == nullptr) continue;
      if (found->baseline) m.old_on_old = found->baseline;
      if (found->allowed_change) m.tolerance = found->allowed_change;
    }
    if (first) m.old_on_new = first->value;
    if (second) m.new_on_new = second->value;
    if (m.old_on_old || m.old_on_new || m.new_on_new) out.measures.push_back(std::move(m));
  }
  return out;
}

v1::ComparedDocument to_message(const verdict::ComparedDocument& d) {
  v1::ComparedDocument out;
  out.set_name(d.name);
  out.set_sha256(d.sha256);
  return out;
}

v1::ComparedMeasure to_message(const verdict::ComparedMeasure& m) {
  v1::ComparedMeasure out;
  out.set_measure(m.measure);
  if (const auto at = measure::find_measure(m.measure))
    out.set_unit(std::string(measure::catalogue()[static_cast<size_t>(*at)].unit));
  if (m.old_on_old) out.set_old_on_old(*m.old_on_old);
  if (m.old_on_new) out.set_old_on_new(*m.old_on_new);
  if (m.new_on_new) out.set_new_on_new(*m.new_on_new);
  if (const auto x = m.by_hardware()) out.set_by_hardware(*x);
  if (const auto x = m.by_calibration()) out.set_by_calibration(*x);
  if (m.tolerance) out.set_tolerance(*m.tolerance);
  return out;
}

}  // namespace

absl::StatusOr<verdict::HardwareComparison> compare_hardware(const CompareOptions& options) {
  const auto cars = open_cars(options);
  if (!cars.ok()) return cars.status();
  const auto old_calibration = old_calibration_of(options, cars->old_car);
  if (!old_calibration.ok()) return old_calibration.status();
  const Calibration& new_calibration = cars->new_car.candidate;
  if (absl::Status status = check_changed(cars->old_car, cars->new_car); !status.ok()) return status;
  Session before = cars->old_car;
  before.candidate = *old_calibration;
  before.reference = &*old_calibration;
  v1::Baseline values;
  const auto replayed = replay_all(before, options.threads);
  if (!replayed.ok()) return replayed.status();
  if (absl::Status status = add_values(*before.library, *replayed, &values); !status.ok()) return status;
  CheckOptions how;
  how.threads = options.threads;
  const auto old_on_new = check(against(cars->new_car, values, *old_calibration, *old_calibration), how);
  if (!old_on_new.ok()) return old_on_new.status();
  const auto new_on_new = check(against(cars->new_car, values, new_calibration, *old_calibration), how);
  if (!new_on_new.ok()) return new_on_new.status();
  verdict::HardwareComparison out;
  out.library_name = cars->old_car.library->index.name();
  const auto &old_vehicle = cars->old_car.library->vehicle, &new_vehicle = cars->new_car.library->vehicle;
  out.old_vehicle = {old_vehicle.message.name(), old_vehicle.sha256};
  out.new_vehicle = {new_vehicle.message.name(), new_vehicle.sha256};
  out.old_calibration = {old_calibration->message.name(), old_calibration->sha256};
  out.new_calibration = {new_calibration.message.name(), new_calibration.sha256};
  out.tier = options.run.tier;
  out.numerics_version = replay::kNumericsVersion;
  auto vehicle_changes = changes_between(old_vehicle.message, new_vehicle.message);
  if (!vehicle_changes.ok()) return vehicle_changes.status();
  out.vehicle_changes = *std::move(vehicle_changes);
  auto calibration_changes = changes_between(old_calibration->message, new_calibration.message);
  if (!calibration_changes.ok()) return calibration_changes.status();
  out.calibration_changes = *std::move(calibration_changes);
  for (size_t i = 0; i < old_on_new->scenarios.size(); ++i)
    out.scenarios.push_back(join(old_on_new->scenarios[i], new_on_new->scenarios[i]));
  return out;
}

v1::HardwareComparison to_message(const verdict::HardwareComparison& c) {
  v1::HardwareComparison out;
  out.set_library_name(c.library_name);
  *out.mutable_old_vehicle() = to_message(c.old_vehicle);
  *out.mutable_new_vehicle() = to_message(c.new_vehicle);
  *out.mutable_old_calibration() = to_message(c.old_calibration);
  *out.mutable_new_calibration() = to_message(c.new_calibration);
  out.set_tier(to_message(c.tier));
  out.set_numerics_version(c.numerics_version);
  const auto add = [](const std::vector<verdict::CalibrationChange>& changes, auto* list) {
    for (const auto& change : changes) {
      v1::DocumentChange* to = list->Add();
      to->set_address(change.address);
      to->set_before(change.before);
      to->set_after(change.after);
    }
  };
  add(c.vehicle_changes, out.mutable_vehicle_changes());
  add(c.calibration_changes, out.mutable_calibration_changes());
  for (const verdict::ComparedScenario& s : c.scenarios) {
    v1::ComparedScenario* scenario = out.add_scenarios();
    scenario->set_scenario(s.scenario);
    scenario->set_reason(s.reason);
    for (const verdict::ComparedMeasure& m : s.measures) *scenario->add_measures() = to_message(m);
  }
  out.set_caution(verdict::caution());
  return out;
}

}  // namespace brakeward::gate
