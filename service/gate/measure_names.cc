#include "gate/session.h"
#include "measure/catalogue.h"
#include "verdict/tolerance.h"

namespace brakeward::gate {
namespace {

template <class List>
void check_list(const std::string& file, const std::string& at, const List& list, document::Faults& faults) {
  for (int i = 0; i < list.size(); ++i)
    if (!measure::find_measure(list[i].measure()))
      faults.add(
          {file, 0, 0, at + "[" + std::to_string(i) + "].measure",
           "no measure is named \"" + list[i].measure() + "\"; `brakeward describe measures` lists them"});
}

// A limit that holds nothing back: without a bound, with one on the better side only, with two that cross.
// How a fault is answered may come too early as well, so that there either side is a limit.
std::string limit_fault(const v1::MeasureLimit& l) {
  const auto at = measure::find_measure(l.measure());
  if (!at) return "";
  const measure::MeasureInfo& info = measure::catalogue()[static_cast<size_t>(*at)];
  const bool low = l.minimum() > -verdict::kNoBound, high = l.maximum() < verdict::kNoBound;
  if (!low && !high) return "neither minimum nor maximum; give the bound";
  if (low && high && l.minimum() > l.maximum()) return "minimum is above maximum; no value holds both";
  if (info.point == measure::ChainPoint::kRequest) return "";
  if (info.worse == measure::Worse::kHigher && !high)
    return "only a minimum, and of " + l.measure() + " a higher value is worse; give a maximum";
  if (info.worse == measure::Worse::kLower && !low)
    return "only a maximum, and of " + l.measure() + " a lower value is worse; give a minimum";
  return "";
}

template <class Limits>
void check_limits(const std::string& file, const Limits& limits, document::Faults& faults) {
  check_list(file, "limits", limits, faults);
  for (int i = 0; i < limits.size(); ++i)
    if (const std::string fault = limit_fault(limits[i]); !fault.empty())
      faults.add({file, 0, 0, "limits[" + std::to_string(i) + "]", fault});
}

}  // namespace

void check_measure_names(const scenario::Library& lib, document::Faults& faults) {
  const v1::ToleranceSet& set = lib.tolerances.message;
  const std::string file = lib.tolerances.file.string();
  check_list(file, "every_class", set.every_class(), faults);
  for (int i = 0; i < set.classes_size(); ++i)
    check_list(file, "classes[" + std::to_string(i) + "].measures", set.classes(i).measures(), faults);
  if (lib.baseline) {
    const auto& scenarios = lib.baseline->message.scenarios();
    for (int i = 0; i < scenarios.size(); ++i)
      check_list(lib.baseline->file.string(), "scenarios[" + std::to_string(i) + "].values",
                 scenarios[i].values(), faults);
  }
  for (const auto& s : lib.scenarios) check_limits(s.file.string(), s.message.limits(), faults);
  for (const auto& c : lib.campaigns) check_limits(c.file.string(), c.message.limits(), faults);
  for (const auto& s : lib.stints) check_limits(s.file.string(), s.message.limits(), faults);
}

}  // namespace brakeward::gate
