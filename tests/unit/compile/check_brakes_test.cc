// Brakes, fluid and actuators that keep the schema and cannot be.
#include <string>
#include <vector>

#include "compile/check_vehicle.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using testing::HasSubstr;

TEST(CheckBrakes, RefusesWhatOnlyTogetherCannotBe) {
  const struct {
    void (*spoil)(v1::Vehicle&);
    std::vector<const char*> parts;
  } rows[] = {
      {[](auto& v) { v.mutable_front_brake()->set_effective_radius_mm(60); },
       {"front_brake.effective_radius_mm: 60 mm", "needs more than", "mm"}},
      {[](auto& v) { v.mutable_rear_brake()->clear_line_bore_mm(); },
       {"rear_brake.line_bore_mm", "together with rear_brake.line_length_m"}},
      {[](auto& v) {
         v.mutable_rear_brake()->clear_line_bore_mm();
         v.mutable_rear_brake()->clear_line_length_m();
       },
       {"rear_brake.line_length_m", "because fluid.viscosity_mm2_per_s is"}},
      {[](auto& v) { v.mutable_front_actuator()->set_derating_to_celsius(100); },
       {"front_actuator.derating_to_celsius: 100 degC",
        "more than front_actuator.derating_from_celsius, 110 degC"}},
      {[](auto& v) { v.mutable_rear_actuator()->clear_cooling_w_per_k(); },
       {"rear_actuator.cooling_w_per_k", "together with rear_actuator.heat_at_stall_w"}},
      {[](auto& v) { v.mutable_rear_actuator()->set_nominal_supply_volts(48); },
       {"rear_actuator.nominal_supply_volts: 48 V", "front_actuator.nominal_supply_volts, 12 V"}},
      {[](auto& v) { v.clear_rear_actuator(); },
       {"rear_actuator: must be given", "ACTUATOR_ARRANGEMENT_SHARED"}},
      {[](auto& v) { v.mutable_hydraulic_layout()->set_actuators(v1::ACTUATOR_ARRANGEMENT_SHARED); },
       {"rear_actuator: must be left out", "hydraulic_layout.actuators"}},
      {[](auto& v) { v.mutable_fluid()->set_wet_boiling_celsius(330); },
       {"fluid.wet_boiling_celsius: 330 degC", "less than fluid.dry_boiling_celsius, 310 degC"}},
      {[](auto& v) { v.mutable_fluid()->clear_water_percent(); },
       {"fluid.water_percent", "together with fluid.dry_boiling_celsius"}},
      {[](auto& v) { v.mutable_fluid()->mutable_viscosity_mm2_per_s()->mutable_points(1)->set_y(2000); },
       {"fluid.viscosity_mm2_per_s.points[1].y: 2000 mm^2/s", "at most the point before, 1300 mm^2/s"}},
  };
  for (const auto& row : rows) {
    v1::Vehicle v = tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");
    row.spoil(v);
    document::resolve_defaults(&v);
    document::Faults faults;
    check_vehicle(v, "sorrel.textproto", faults);
    const std::string found = faults.render();
    for (const char* part : row.parts) EXPECT_THAT(found, HasSubstr(part));
    EXPECT_THAT(found, HasSubstr("sorrel.textproto: "));
  }
}

}  // namespace
}  // namespace brakeward::compile
