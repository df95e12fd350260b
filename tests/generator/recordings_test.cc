// The committed logs are what the generator makes, byte for byte, and their documents say so.
#include <gtest/gtest.h>

#include <set>

#include "document/sha256.h"
#include "files.h"
#include "generator/cars.h"
#include "generator/generator.h"
#include "replay/plan.h"
#include "scenario/library.h"

namespace brakeward::generator {
namespace {

namespace fs = std::filesystem;

class Recordings : public testing::TestWithParam<const DemoCar*> {
 protected:
  fs::path library() const {
    return fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / std::string(GetParam()->name);
  }
};

std::vector<const DemoCar*> all_cars() {
  std::vector<const DemoCar*> all;
  for (const DemoCar& car : demo_cars()) all.push_back(&car);
  return all;
}

TEST_P(Recordings, AreMadeAnewByteForByte) {
  if (replay::kNumericsVersion != kLoggedWithNumerics)
    GTEST_SKIP() << "the logs were made with numerics " << kLoggedWithNumerics << "; they are data now";
  const auto logs = make_logs(library());
  ASSERT_TRUE(logs.ok()) << logs.status();
  for (const NamedLog& log : *logs) {
    const std::string committed = tests::read_file(library() / "recordings" / (log.name + ".csv"));
    EXPECT_EQ(document::sha256_hex(committed), document::sha256_hex(log.csv))
        << log.name << ": run make_recordings and look at what changed";
  }
}

TEST_P(Recordings, DocumentsCarryTheHashOfTheirLog) {
  document::Faults faults;
  std::set<std::string> named;
  for (const auto& entry : fs::directory_iterator(library() / "recordings")) {
    if (entry.path().extension() != ".textproto" || entry.path().stem() == "logger") continue;
    const auto doc = scenario::load_document<v1::Recording>(entry.path(), faults);
    ASSERT_TRUE(faults.empty()) << faults.render();
    const std::string csv = tests::read_file(library() / "recordings" / doc.message.file());
    EXPECT_EQ(doc.message.file_sha256(), document::sha256_hex(csv)) << entry.path();
    named.insert(doc.message.name());
  }
  std::set<std::string> driven;
  for (const Drive& drive : *GetParam()->drives) driven.insert(std::string(drive.name));
  EXPECT_EQ(named, driven);
}

INSTANTIATE_TEST_SUITE_P(Cars, Recordings, testing::ValuesIn(all_cars()),
                         [](const auto& info) { return std::string(info.param->name); });

// A folder that is no demo car's is refused by name.
TEST(MakeLogs, RefusesALibraryOfNoDemoCar) {
  const auto logs = make_logs(fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios/single-seater");
  ASSERT_FALSE(logs.ok());
  EXPECT_NE(logs.status().message().find("no demo car is called \"single-seater\""), std::string::npos)
      << logs.status();
}

// As in the table of the car's README.
struct Table {
  const char* car;
  double mass_kg, cog_height_m, front_pad, rear_pad, tyre_peak, lag_ms, front_stiffness, drag, engine_braking;
  double zero_a_volts, zero_b_volts;
};

class TrueCar : public testing::TestWithParam<Table> {};

// Every deviation of the table reaches the car; a forgotten one would make the logs too good to be true.
TEST_P(TrueCar, DiffersFromItsDocumentByTheTable) {
  const Table& by = GetParam();
  document::Faults faults;
  const std::string name = by.car;
  const auto doc = scenario::load_document<v1::Vehicle>(
      fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / name / "vehicle" / (name + ".textproto"), faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  const v1::Vehicle& nominal = doc.message;
  const v1::Vehicle car = true_car(nominal, find_car(name)->deviations);
  EXPECT_DOUBLE_EQ(car.chassis().mass_kg() - nominal.chassis().mass_kg(), by.mass_kg);
  EXPECT_NEAR(car.chassis().cog_height_m() - nominal.chassis().cog_height_m(), by.cog_height_m, 1e-12);
  const auto expect_pads = [](const v1::WheelBrake& is, const v1::WheelBrake& was, double ratio) {
    for (int i = 0; i < was.pad_friction().points_size(); ++i)
      EXPECT_DOUBLE_EQ(is.pad_friction().points(i).y(), ratio * was.pad_friction().points(i).y());
  };
  expect_pads(car.front_brake(), nominal.front_brake(), by.front_pad);
  expect_pads(car.rear_brake(), nominal.rear_brake(), by.rear_pad);
  EXPECT_DOUBLE_EQ(car.front_tyre().p_dx1(), by.tyre_peak * nominal.front_tyre().p_dx1());
  EXPECT_DOUBLE_EQ(car.rear_tyre().p_dx1(), by.tyre_peak * nominal.rear_tyre().p_dx1());
  EXPECT_DOUBLE_EQ(car.front_actuator().lag_ms() - nominal.front_actuator().lag_ms(), by.lag_ms);
  EXPECT_DOUBLE_EQ(car.rear_actuator().lag_ms() - nominal.rear_actuator().lag_ms(), by.lag_ms);
  EXPECT_DOUBLE_EQ(car.front_brake().stiffness_bar_per_cm3(),
                   by.front_stiffness * nominal.front_brake().stiffness_bar_per_cm3());
  EXPECT_DOUBLE_EQ(car.aero().drag_area_m2(), by.drag * nominal.aero().drag_area_m2());
  EXPECT_DOUBLE_EQ(car.driveline().engine_braking_nm(),
                   by.engine_braking * nominal.driveline().engine_braking_nm());
  const v1::Sensors &is = car.sensors(), &was = nominal.sensors();
  EXPECT_NEAR(is.hand_track_a().zero_volts() - was.hand_track_a().zero_volts(), by.zero_a_volts, 1e-12);
  EXPECT_NEAR(is.hand_track_b().zero_volts() - was.hand_track_b().zero_volts(), by.zero_b_volts, 1e-12);
}

INSTANTIATE_TEST_SUITE_P(
    Cars, TrueCar,
    testing::Values(Table{"sorrel", 25, 0, 1.02, 1.02, 0.985, 2, 0.97, 1.02, 1.05, 0.004, 0},
                    Table{"bracken", 40, 0.03, 0.98, 1.01, 1.02, 3, 0.95, 1.03, 0.9, 0, -0.006}),
    [](const auto& info) { return std::string(info.param.car); });

}  // namespace
}  // namespace brakeward::generator
