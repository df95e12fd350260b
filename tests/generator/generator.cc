#include "generator/generator.h"

#include "generator/cars.h"
#include "generator/logger.h"
#include "generator/run_drive.h"
#include "scenario/library.h"

namespace brakeward::generator {

absl::StatusOr<std::vector<NamedLog>> make_logs(const std::filesystem::path& library) {
  document::Faults faults;
  const auto index = scenario::load_document<v1::Library>(library / "library.textproto", faults);
  if (!faults.empty()) return faults.status();
  const DemoCar* demo = find_car(index.message.name());
  if (demo == nullptr)
    return absl::NotFoundError((library / "library.textproto").string() + ": name: no demo car is called \"" +
                               index.message.name() + "\"");
  const auto vehicle = scenario::load_document<v1::Vehicle>(library / index.message.vehicle_file(), faults);
  const auto released =
      scenario::load_document<v1::Calibration>(library / "calibrations/released.textproto", faults);
  std::vector<scenario::Loaded<v1::Scenario>> conditions;
  for (const Drive& drive : *demo->drives)
    conditions.push_back(scenario::load_document<v1::Scenario>(
        library / "scenarios" / (std::string(drive.scenario) + ".textproto"), faults));
  if (!faults.empty()) return faults.status();
  const v1::Vehicle car = true_car(vehicle.message, demo->deviations);
  std::vector<NamedLog> logs;
  for (size_t i = 0; i < conditions.size(); ++i) {
    const Drive& drive = (*demo->drives)[i];
    const auto trace = run_drive(drive, car, released.message, conditions[i].message);
    if (!trace.ok()) return trace.status();
    logs.push_back({std::string(drive.name), log_drive(drive, *trace)});
  }
  return logs;
}

}  // namespace brakeward::generator
