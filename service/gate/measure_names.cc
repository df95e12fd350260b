#include "gate/session.h"
#include "measure/catalogue.h"

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
  for (const auto& s : lib.scenarios) check_list(s.file.string(), "limits", s.message.limits(), faults);
}

}  // namespace brakeward::gate
