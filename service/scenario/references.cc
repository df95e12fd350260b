#include "scenario/references.h"

#include <algorithm>
#include <set>

#include "scenario/blending.h"
#include "scenario/campaign.h"
#include "scenario/disturbances.h"
#include "scenario/driver.h"
#include "scenario/hold.h"
#include "scenario/stint.h"
#include "scenario/supervision.h"
#include "scenario/variants.h"

namespace brakeward::scenario {
namespace {

template <class Item>
void check_unique(const std::vector<Item>& items, const char* what, document::Faults& faults) {
  std::set<std::string> seen;
  for (const Item& item : items)
    if (!seen.insert(item.message.name()).second)
      faults.add({item.file.string(), 0, 0, "name",
                  std::string("another ") + what + " of the library is named \"" + item.message.name() +
                      "\" too; names must be unique"});
}

template <class List>
std::string names_of(const List& list) {
  std::string out;
  for (const auto& item : list) out += (out.empty() ? "\"" : ", \"") + item.name() + "\"";
  return out.empty() ? "none" : out;
}

template <class List>
bool has_name(const List& list, const std::string& name) {
  return std::any_of(list.begin(), list.end(), [&](const auto& item) { return item.name() == name; });
}

void check_recording(const Library& lib, const LoadedRecording& rec, document::Faults& faults) {
  if (rec.message.vehicle() != lib.vehicle.message.name())
    faults.add({rec.file.string(), 0, 0, "vehicle",
                "recorded on \"" + rec.message.vehicle() + "\", the library's car is \"" +
                    lib.vehicle.message.name() +
                    "\"; list only recordings of this car under recording_files"});
  const std::string& cal = rec.message.calibration();
  if (!cal.empty() && !lib.calibration_named(cal))
    faults.add(
        {rec.file.string(), 0, 0, "calibration",
         "no calibration named \"" + cal + "\" in the library; list its file under calibration_files"});
}

void check_scenario(const Library& lib, const Loaded<v1::Scenario>& s, document::Faults& faults) {
  const std::string file = s.file.string();
  if (s.message.has_recorded() && !lib.recording_named(s.message.recorded().recording()))
    faults.add({file, 0, 0, "recorded.recording",
                "no recording named \"" + s.message.recorded().recording() +
                    "\" in the library; list its file under recording_files"});
  if (s.message.entry_point() == v1::ENTRY_POINT_PRESSURE && !s.message.has_recorded())
    faults.add({file, 0, 0, "entry_point", "a replay from pressure needs a recorded input"});
  for (int i = 0; i < s.message.faults_size(); ++i)
    if (s.message.faults(i).end_s() <= s.message.faults(i).start_s())
      faults.add(
          {file, 0, 0, "faults[" + std::to_string(i) + "].end_s", "the fault must end after it starts"});
  if (s.message.tier() == v1::TIER_ALL)
    faults.add({file, 0, 0, "tier", "TIER_ALL is of runs only; take TIER_GATE or TIER_ENDURANCE"});
  check_disturbances(s.message, lib.vehicle.message, file, faults);
  check_driver(s.message, lib.vehicle.message, file, faults);
  check_repeatability(s.message, lib.vehicle.message, file, faults);
  const auto& r = s.message.recorded();
  if (s.message.has_recorded() && r.has_start_s() && r.has_end_s() && r.end_s() <= r.start_s())
    faults.add({file, 0, 0, "recorded.end_s", "the stretch must end after it starts"});
}

}  // namespace

void check_calibration(const Library& lib, const Loaded<v1::Calibration>& cal, document::Faults& faults) {
  const std::string file = cal.file.string();
  const v1::Calibration& c = cal.message;
  if (c.vehicle() != lib.vehicle.message.name())
    faults.add({file, 0, 0, "vehicle",
                "this calibration belongs to \"" + c.vehicle() + "\", the car under check is \"" +
                    lib.vehicle.message.name() +
                    "\"; take a calibration of this car, or name that car's folder with --library"});
  check_supervision(c, lib.vehicle.message, file, faults);
  check_blending(c, lib.vehicle.message, file, faults);
  check_hold(c, file, faults);
  check_compensation(c, lib.vehicle.message, file, faults);
  const auto need = [&](const auto& list, const std::string& name, const std::string& address,
                        const std::string& who) {
    if (!name.empty() && !has_name(list, name))
      faults.add({file, 0, 0, address,
                  who + " chooses \"" + name + "\", which this calibration lacks; it has " + names_of(list)});
  };
  need(c.balance().steps(), c.balance().step(), "balance.steps", "balance.step");
  need(c.hand_control().effort_grades(), c.hand_control().effort_grade(), "hand_control.effort_grades",
       "hand_control.effort_grade");
  for (const auto& s : lib.scenarios) {
    need(c.balance().steps(), s.message.balance_step(), "balance.steps", "scenario " + s.message.name());
    for (const std::string& step : s.message.repeatability().balance_steps())
      need(c.balance().steps(), step, "balance.steps", "scenario " + s.message.name());
    need(c.hand_control().effort_grades(), s.message.effort_grade(), "hand_control.effort_grades",
         "scenario " + s.message.name());
  }
}

void check_references(const Library& lib, document::Faults& faults) {
  check_unique(lib.calibrations, "calibration", faults);
  check_unique(lib.recordings, "recording", faults);
  check_unique(lib.scenarios, "scenario", faults);
  for (const auto& c : lib.calibrations) check_calibration(lib, c, faults);
  for (const auto& r : lib.recordings) check_recording(lib, r, faults);
  for (const auto& s : lib.scenarios) check_scenario(lib, s, faults);
  check_unique(lib.campaigns, "campaign", faults);
  for (const auto& c : lib.campaigns) {
    if (lib.scenario_named(c.message.name()))
      faults.add(
          {c.file.string(), 0, 0, "name",
           "a scenario of the library is named \"" + c.message.name() + "\" too; names must be unique"});
    check_campaign(lib, c, faults);
  }
  check_unique(lib.stints, "stint", faults);
  for (const auto& s : lib.stints) {
    const bool taken = lib.scenario_named(s.message.name()) ||
                       std::any_of(lib.campaigns.begin(), lib.campaigns.end(),
                                   [&](const auto& c) { return c.message.name() == s.message.name(); });
    if (taken)
      faults.add({s.file.string(), 0, 0, "name",
                  "a scenario or campaign of the library is named \"" + s.message.name() +
                      "\" too; names must be unique"});
    check_stint(lib, s, faults);
  }
}

}  // namespace brakeward::scenario
