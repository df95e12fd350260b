// The order of every view but the stream and the JSON: gravest verdict first, then the largest tolerance
// used, then the name.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "verdict/run.h"

namespace brakeward::report {

// Pointers into `run`, which must outlive them. A scenario's tolerance used is that of its first measure in
// order.
std::vector<const verdict::ScenarioResult*> ordered_scenarios(const verdict::Run& run);

// Pointers into `scenario`, which must outlive them. A measure without a tolerance used comes after those
// that have one.
std::vector<const verdict::MeasureResult*> ordered_measures(const verdict::ScenarioResult& scenario);

// A measure that was judged, or a scenario whose verdict is graver than those of its measures.
struct Finding {
  const verdict::ScenarioResult* scenario = nullptr;
  const verdict::MeasureResult* measure = nullptr;  // nullptr: the scenario itself

  verdict::Verdict verdict() const { return measure != nullptr ? measure->verdict : scenario->verdict; }
  const std::string& reason() const { return measure != nullptr ? measure->reason : scenario->reason; }
};

// Of all scenarios together; of two that are equally grave and near their tolerance the scenario's name
// decides, then the measure's. Pointers into `run`.
std::vector<Finding> ordered_findings(const verdict::Run& run);

// Null where it has none of that name.
const verdict::MeasureResult* measure_named(const std::vector<verdict::MeasureResult>& measures,
                                            std::string_view name);

// Scenarios that are inconclusive although none of their measures is, in order.
std::vector<const verdict::ScenarioResult*> inconclusive_as_a_whole(const verdict::Run& run);

// True when the verdict does not follow from the measures: there are none, or none is as grave.
bool is_graver_than_measures(const verdict::ScenarioResult& scenario);

// Unit and decimals of a measure, from the catalogue; no unit and 6 decimals for a measure it does not know.
struct MeasureForm {
  std::string_view unit;
  int decimals = 6;
};
MeasureForm form_of(std::string_view measure);

}  // namespace brakeward::report
