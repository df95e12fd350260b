// What goes wrong in a scenario: refused where a kind lacks a field or the car has nothing for it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "end_to_end/library_copy.h"
#include "scenario/library.h"

namespace brakeward::scenario {
namespace {

using end_to_end::LibraryCopy;
using testing::HasSubstr;

template <class Message, class Change>
std::string faults_after(const std::string& file, Change change) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<Message>(copy.file(file), change);
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  return faults.render();
}

const char* const kScenario = "scenarios/step_hand.textproto";

TEST(Disturbances, HaveJustTheFieldsTheirKindNeeds) {
  const auto with = [](v1::FaultKind kind, void (*more)(v1::Fault&)) {
    return faults_after<v1::Scenario>(kScenario, [&](v1::Scenario& s) {
      v1::Fault* f = s.add_faults();
      f->set_kind(kind);
      f->set_start_s(0.6);
      f->set_end_s(0.9);
      more(*f);
    });
  };
  const auto none = [](v1::Fault&) {};
  EXPECT_THAT(with(v1::FAULT_KIND_TRACK_OPEN, none),
              HasSubstr("faults[0].track: FAULT_KIND_TRACK_OPEN needs it"));
  const std::string leak = with(v1::FAULT_KIND_CIRCUIT_LEAK, none);
  EXPECT_THAT(leak, HasSubstr("faults[0].circuit: FAULT_KIND_CIRCUIT_LEAK needs it"));
  EXPECT_THAT(leak, HasSubstr("faults[0].leak_diameter_mm: FAULT_KIND_CIRCUIT_LEAK needs it"));
  EXPECT_THAT(with(v1::FAULT_KIND_SUPPLY_DIP, none), HasSubstr("faults[0].supply_volts: "));
  EXPECT_THAT(with(v1::FAULT_KIND_ACTUATOR_DEAD,
                   [](v1::Fault& f) {
                     f.set_circuit(v1::CIRCUIT_FRONT);
                     f.set_supply_volts(3);
                   }),
              HasSubstr("faults[0].supply_volts: FAULT_KIND_ACTUATOR_DEAD has no use for it"));
  EXPECT_EQ(with(v1::FAULT_KIND_ACTUATOR_DEAD, [](v1::Fault& f) { f.set_circuit(v1::CIRCUIT_FRONT); }), "");
}

struct Kind {
  v1::FaultKind kind;
  void (*complete)(v1::Fault&);
  std::vector<std::string> needs;
};

void set_circuit(v1::Fault& f) {
  f.set_circuit(v1::CIRCUIT_REAR);
}

const Kind kKinds[] = {
    {v1::FAULT_KIND_TRACK_SHORT_TO_GROUND,
     [](v1::Fault& f) { f.set_track(v1::REQUEST_TRACK_PEDAL); },
     {"track"}},
    {v1::FAULT_KIND_TRACK_STUCK, [](v1::Fault& f) { f.set_track(v1::REQUEST_TRACK_HAND_A); }, {"track"}},
    {v1::FAULT_KIND_TRACK_NOISE,
     [](v1::Fault& f) {
       f.set_track(v1::REQUEST_TRACK_HAND_B);
       f.set_noise_volts(0.1);
     },
     {"track", "noise_volts"}},
    {v1::FAULT_KIND_PRESSURE_SENSOR_OFFSET,
     [](v1::Fault& f) {
       set_circuit(f);
       f.set_offset_bar(-4);
     },
     {"circuit", "offset_bar"}},
    {v1::FAULT_KIND_PRESSURE_SENSOR_DRIFT,
     [](v1::Fault& f) {
       set_circuit(f);
       f.set_drift_bar_per_s(2);
     },
     {"circuit", "drift_bar_per_s"}},
    {v1::FAULT_KIND_PRESSURE_SENSOR_STUCK, set_circuit, {"circuit"}},
    {v1::FAULT_KIND_WHEEL_SPEED_LOST, [](v1::Fault& f) { f.set_wheel(v1::WHEEL_REAR_LEFT); }, {"wheel"}},
    {v1::FAULT_KIND_SELECTOR_CHANGED, [](v1::Fault&) {}, {}},
    {v1::FAULT_KIND_BUS_SILENT, [](v1::Fault&) {}, {}},
    {v1::FAULT_KIND_BUS_DELAYED, [](v1::Fault& f) { f.set_delay_ms(20); }, {"delay_ms"}},
    {v1::FAULT_KIND_BUS_MESSAGE_LOST, [](v1::Fault&) {}, {}},
    {v1::FAULT_KIND_ACTUATOR_SLOW,
     [](v1::Fault& f) {
       set_circuit(f);
       f.set_remaining_percent(30);
     },
     {"circuit", "remaining_percent"}},
    {v1::FAULT_KIND_ACTUATOR_FLOW_LIMITED,
     [](v1::Fault& f) {
       set_circuit(f);
       f.set_remaining_percent(30);
     },
     {"circuit", "remaining_percent"}},
    {v1::FAULT_KIND_ACCELERATOR_PRESSED,
     [](v1::Fault& f) { f.set_accelerator_percent(30); },
     {"accelerator_percent"}},
    {v1::FAULT_KIND_ACCELEROMETER_OFFSET, [](v1::Fault& f) { f.set_offset_mps2(-3); }, {"offset_mps2"}}};

// Faults of the library when step_hand has this fault, on the demo car with a request bus.
std::string faults_with(const Kind& kind, bool complete, void (*more)(v1::Fault&)) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Vehicle>(copy.vehicle(), [](v1::Vehicle& v) {
    v.mutable_sensors()->set_bus_period_ms(10);
    v.mutable_sensors()->set_acceleration_step_mps2(0.05);
  });
  copy.change<v1::Scenario>(copy.file(kScenario), [&](v1::Scenario& s) {
    v1::Fault& f = *s.add_faults();
    f.set_kind(kind.kind);
    f.set_start_s(0.6);
    f.set_end_s(0.9);
    if (complete) kind.complete(f);
    more(f);
  });
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  return faults.render();
}

// Every kind is let through with what it needs and refused with nothing or with all there is.
TEST(Disturbances, EveryKindTakesItsOwnFieldsAndRefusesTheOthers) {
  const auto nothing = [](v1::Fault&) {};
  const auto all = [](v1::Fault& f) {
    f.set_track(v1::REQUEST_TRACK_HAND_A);
    f.set_circuit(v1::CIRCUIT_FRONT);
    f.set_wheel(v1::WHEEL_FRONT_LEFT);
    f.set_leak_diameter_mm(0.2);
    f.set_supply_volts(6);
    f.set_noise_volts(0.1);
    f.set_offset_bar(3);
    f.set_drift_bar_per_s(3);
    f.set_delay_ms(20);
    f.set_remaining_percent(50);
    f.set_accelerator_percent(30);
  };
  const char* const fields[] = {
      "track",      "circuit",         "wheel",    "leak_diameter_mm",  "supply_volts",       "noise_volts",
      "offset_bar", "drift_bar_per_s", "delay_ms", "remaining_percent", "accelerator_percent"};
  for (const Kind& kind : kKinds) {
    const std::string name = v1::FaultKind_Name(kind.kind);
    EXPECT_EQ(faults_with(kind, true, nothing), "") << name;
    const std::string bare = faults_with(kind, false, nothing), full = faults_with(kind, true, all);
    for (const char* field : fields) {
      const bool needed = std::find(kind.needs.begin(), kind.needs.end(), field) != kind.needs.end();
      const std::string where = std::string("faults[0].") + field + ": " + name;
      EXPECT_EQ(bare.find(where + " needs it; give it") != std::string::npos, needed) << name << " " << field;
      EXPECT_EQ(full.find(where + " has no use for it") != std::string::npos, !needed)
          << name << " " << field;
    }
  }
}

TEST(Disturbances, OfTheBusAreRefusedWhereTheCarHasNone) {
  const std::string found = faults_after<v1::Scenario>(kScenario, [](v1::Scenario& s) {
    v1::Fault& f = *s.add_faults();
    f.set_kind(v1::FAULT_KIND_BUS_SILENT);
    f.set_start_s(0.6);
    f.set_end_s(0.9);
  });
  EXPECT_THAT(found, HasSubstr("faults[0]: has no effect, because vehicle \"sorrel\" has no "
                               "sensors.bus_period_ms"));
}

TEST(Disturbances, AnAccelerometersFaultNeedsAnAccelerometer) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Scenario>(copy.file(kScenario), [](v1::Scenario& s) {
    v1::Fault& f = *s.add_faults();
    f.set_kind(v1::FAULT_KIND_ACCELEROMETER_OFFSET);
    f.set_start_s(0.6);
    f.set_end_s(0.9);
    f.set_offset_mps2(3);
  });
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  EXPECT_THAT(faults.render(), HasSubstr("faults[0]: has no effect, because vehicle \"sorrel\" has no "
                                         "sensors.acceleration_step_mps2"));
}

TEST(Disturbances, AnAcceleratorNeedsTraction) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Vehicle>(copy.vehicle(),
                           [](v1::Vehicle& v) { v.mutable_driveline()->set_traction_limit_n(0); });
  copy.change<v1::Scenario>(copy.file(kScenario), [](v1::Scenario& s) {
    v1::Fault& f = *s.add_faults();
    f.set_kind(v1::FAULT_KIND_ACCELERATOR_PRESSED);
    f.set_start_s(0.6);
    f.set_end_s(0.9);
    f.set_accelerator_percent(101);
  });
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  EXPECT_THAT(faults.render(),
              HasSubstr("faults[0].accelerator_percent: 101 % is above the allowed 1 to 100 %"));
  copy.change<v1::Scenario>(copy.file(kScenario),
                            [](v1::Scenario& s) { s.mutable_faults(0)->set_accelerator_percent(50); });
  document::Faults again;
  load_library(copy.folder(), {}, again);
  EXPECT_THAT(again.render(), HasSubstr("faults[0]: has no effect, because vehicle \"sorrel\" has no "
                                        "driveline.traction_limit_n above 0"));
}

TEST(Disturbances, AreRefusedWhereTheCarHasNothingForThem) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Vehicle>(copy.vehicle(), [](v1::Vehicle& v) {
    for (v1::Actuator* a : {v.mutable_front_actuator(), v.mutable_rear_actuator()}) {
      const v1::Actuator full = *a;
      a->Clear();
      a->set_dead_time_ms(full.dead_time_ms());
      a->set_lag_ms(full.lag_ms());
      a->set_stall_pressure_bar(full.stall_pressure_bar());
      a->set_flow_limit_cm3_per_s(full.flow_limit_cm3_per_s());
      a->set_volume_limit_cm3(full.volume_limit_cm3());
    }
    v.clear_pedal_path();
    v.mutable_fluid()->Clear();
    v.mutable_rear_brake()->clear_friction_recovery_work_kj();
  });
  copy.change<v1::Scenario>(copy.file(kScenario), [](v1::Scenario& s) {
    s.set_supply_volts(9);
    s.set_actuator_celsius(120);
    s.set_fluid_water_percent(2);
    s.set_pad_friction_start_percent(60);
    for (int i : {0, 1}) {
      s.add_knock_back()->set_wheel(v1::WHEEL_REAR_LEFT);
      s.mutable_knock_back(i)->set_at_s(0.1);
      s.mutable_knock_back(i)->set_volume_cm3(0.2);
    }
  });
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  const std::string found = faults.render();
  for (const char* part :
       {"supply_volts: has no effect", "front_actuator.nominal_supply_volts",
        "actuator_celsius: has no effect", "fluid_water_percent: has no effect", "fluid.dry_boiling_celsius",
        "pad_friction_start_percent: has no effect", "rear_brake.friction_recovery_work_kj",
        "knock_back[1].wheel: WHEEL_REAR_LEFT is named twice"})
    EXPECT_THAT(found, HasSubstr(part));
}

}  // namespace
}  // namespace brakeward::scenario
