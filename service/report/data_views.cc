#include "report/data_views.h"

#include "report/order.h"
#include "report/summary.h"
#include "signal/observables.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::ScenarioResult;

// Adds one row: what is known of the scenario, and of the measure unless the scenario has none.
class Rows {
 public:
  void add(const ScenarioResult& s, const MeasureResult* m) {
    const MeasureResult none;
    const MeasureResult& given = m != nullptr ? *m : none;
    scenario_.push_back(s.scenario);
    class_.push_back(s.scenario_class);
    scenario_verdict_.push_back(word(s.verdict));
    scenario_reason_.push_back(s.reason);
    measure_.push_back(given.measure);
    unit_.push_back(m != nullptr ? std::string(form_of(given.measure).unit) : "");
    value_.push_back(given.value);
    baseline_.push_back(given.baseline);
    allowed_.push_back(given.allowed_change);
    used_.push_back(given.tolerance_used);
    verdict_.push_back(m != nullptr ? word(given.verdict) : "");
    reason_.push_back(given.reason);
  }

  std::vector<DataColumn> columns() && {
    return {{"scenario", "", "name of the scenario", std::move(scenario_)},
            {"scenario_class", "", "class of the scenario", std::move(class_)},
            {"scenario_verdict", "", "verdict of the whole scenario", std::move(scenario_verdict_)},
            {"scenario_reason", "", "why, where it does not follow from the measures alone",
             std::move(scenario_reason_)},
            {"measure", "", "name of the measure", std::move(measure_)},
            {"unit", "", "unit of value, baseline and allowed_change", std::move(unit_)},
            {"value", "", "of the candidate", std::move(value_)},
            {"baseline", "", "of the baseline", std::move(baseline_)},
            {"allowed_change", "", "largest change for the worse", std::move(allowed_)},
            {"tolerance_used", "1", "change for the worse over the allowed one; negative when better",
             std::move(used_)},
            {"verdict", "", "verdict of the measure", std::move(verdict_)},
            {"reason", "", "why", std::move(reason_)}};
  }

 private:
  Texts scenario_, class_, scenario_verdict_, scenario_reason_, measure_, unit_, verdict_, reason_;
  Numbers value_, baseline_, allowed_, used_;
};

Data data_about(const verdict::Run& run) {
  return {{{"caution", verdict::caution()},
           {"calibration_name", run.calibration_name},
           {"calibration_sha256", run.calibration_sha256},
           {"vehicle_name", run.vehicle_name},
           {"vehicle_sha256", run.vehicle_sha256},
           {"library_name", run.library_name},
           {"numerics_version", std::to_string(run.numerics_version)}},
          {}};
}

}  // namespace

Data measures_data(const verdict::Run& run) {
  Data data = data_about(run);
  data.about.insert(data.about.end(), {{"event_build", run.event_build},
                                       {"baseline_event_build", run.baseline_event_build},
                                       {"run_id", run.run_id},
                                       {"verdict", word(run.verdict)},
                                       {"result_sha256", run.result_sha256}});
  if (run.baseline_proposed_only) data.about.emplace_back("baseline_approval", kProposedOnly);
  Rows rows;
  for (const ScenarioResult& s : run.scenarios) {
    for (const MeasureResult& m : s.measures) rows.add(s, &m);
    if (s.measures.empty()) rows.add(s, nullptr);
  }
  data.columns = std::move(rows).columns();
  return data;
}

Data trace_data(const verdict::Run& head, const ScenarioResult& result, const std::vector<double>& rows) {
  constexpr size_t kColumns = signal::kObservableCount;
  Data data = data_about(head);
  data.about.insert(data.about.end(), {{"scenario", result.scenario}, {"reason", result.reason}});
  for (size_t c = 0; c < kColumns; ++c) {
    Numbers cells;
    for (size_t i = c; i < rows.size(); i += kColumns)
      cells.push_back(rows[i] <= signal::kNothingRecorded ? std::nullopt : std::optional<double>(rows[i]));
    const signal::Observable& o = signal::kObservables[c];
    data.columns.push_back({o.name, o.unit, o.meaning, std::move(cells)});
  }
  return data;
}

}  // namespace brakeward::report
