// Fuel, people and cargo at their places: what the plan gets, and what is refused.
#include <string>

#include "compile/compile.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using testing::AllOf;
using testing::HasSubstr;

class Masses : public DemoSources {
 protected:
  Masses() { vehicle.clear_places(); }
  void place(const std::string& name, double behind_front_axle_m, double height_m) {
    v1::MassPlace* p = vehicle.add_places();
    p->set_name(name);
    p->set_behind_front_axle_m(behind_front_axle_m);
    p->set_height_m(height_m);
  }
  void put(const std::string& name, double mass_kg) {
    v1::PlacedMass* m = scenario.add_masses();
    m->set_place(name);
    m->set_mass_kg(mass_kg);
  }
};

TEST_F(Masses, ShiftTheCentreOfGravityAsMomentsSay) {
  place("fuel", 2.4, 0.4);
  place("co_driver", 1.6, 0.6);
  place("bed", 3.1, 0.9);
  scenario.set_cargo_kg(100);
  put("fuel", -30);
  put("co_driver", 80);
  put("bed", 300);
  const auto& p = good().plan.params.plant;
  const v1::Chassis& c = vehicle.chassis();
  const double own = c.mass_kg() + 100, mass = own - 30 + 80 + 300;
  const double along = (own * c.cog_behind_front_axle_m() - 30 * 2.4 + 80 * 1.6 + 300 * 3.1) / mass;
  EXPECT_DOUBLE_EQ(p.mass, mass);
  EXPECT_NEAR(p.static_front, 1 - along / c.wheelbase_m(), 1e-14);
  EXPECT_NEAR(p.cog_height, (own * c.cog_height_m() - 30 * 0.4 + 80 * 0.6 + 300 * 0.9) / mass, 1e-14);
}

// Weight on the axles changes by what the lever rule gives each of them for a mass at its place.
TEST_F(Masses, EachAxleGainsItsShareOfTheMass) {
  place("bed", 3.2, 0.9);
  const auto before = good().plan.params.plant;
  put("bed", 250);
  const auto after = good().plan.params.plant;
  const double lever = 3.2 / vehicle.chassis().wheelbase_m();
  EXPECT_NEAR(after.mass * after.static_front - before.mass * before.static_front, 250 * (1 - lever), 1e-9);
  EXPECT_NEAR(after.mass * (1 - after.static_front) - before.mass * (1 - before.static_front), 250 * lever,
              1e-9);
}

TEST_F(Masses, PlacesWithoutMassesChangeNothing) {
  const auto before = good().plan.params.plant;
  place("fuel", 2.4, 0.4);
  const auto after = good().plan.params.plant;
  EXPECT_EQ(before.mass, after.mass);
  EXPECT_EQ(before.static_front, after.static_front);
  EXPECT_EQ(before.cog_height, after.cog_height);
}

TEST_F(Masses, RefusesAPlaceTheVehicleDoesNotHave) {
  put("fuel", -30);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("scenario made: masses[0].place"), HasSubstr("\"sorrel\""),
                               HasSubstr("\"fuel\""), HasSubstr("it has none")));
  place("tank", 2.4, 0.4);
  EXPECT_THAT(refusal(), HasSubstr("it has \"tank\""));
}

TEST_F(Masses, RefusesACarThatCannotStand) {
  place("tail", 7, 3);
  put("tail", 2000);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("masses: "), HasSubstr("behind the front axle"),
                               HasSubstr("not within"), HasSubstr("0 to 2.95 m")));
  vehicle.mutable_places(0)->set_behind_front_axle_m(1.5);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("height of the centre of gravity 1.8"), HasSubstr("0.1 to 1.5 m")));
  scenario.mutable_masses()->Clear();
  for (int i = 0; i < 4; ++i) put("tail", -500);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("mass -280 kg"), HasSubstr("100 to 10000 kg")));
}

}  // namespace
}  // namespace brakeward::compile
