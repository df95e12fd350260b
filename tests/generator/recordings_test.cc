// The committed logs are what the generator makes, byte for byte, and their documents say so.
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <set>

#include "document/sha256.h"
#include "generator/drives.h"
#include "generator/generator.h"
#include "generator/true_car.h"
#include "replay/plan.h"
#include "scenario/library.h"

namespace brakeward::generator {
namespace {

namespace fs = std::filesystem;

fs::path library() {
  return fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios/sorrel";
}

std::string bytes_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(Recordings, AreMadeAnewByteForByte) {
  if (replay::kNumericsVersion != kLoggedWithNumerics)
    GTEST_SKIP() << "the logs were made with numerics " << kLoggedWithNumerics << "; they are data now";
  const auto logs = make_logs(library());
  ASSERT_TRUE(logs.ok()) << logs.status();
  for (const NamedLog& log : *logs) {
    const std::string committed = bytes_of(library() / "recordings" / (log.name + ".csv"));
    EXPECT_EQ(document::sha256_hex(committed), document::sha256_hex(log.csv))
        << log.name << ": run make_recordings and look at what changed";
  }
}

TEST(Recordings, DocumentsCarryTheHashOfTheirLog) {
  document::Faults faults;
  std::set<std::string> named;
  for (const auto& entry : fs::directory_iterator(library() / "recordings")) {
    if (entry.path().extension() != ".textproto" || entry.path().stem() == "logger") continue;
    const auto doc = scenario::load_document<v1::Recording>(entry.path(), faults);
    ASSERT_TRUE(faults.empty()) << faults.render();
    const std::string csv = bytes_of(library() / "recordings" / doc.message.file());
    EXPECT_EQ(doc.message.file_sha256(), document::sha256_hex(csv)) << entry.path();
    named.insert(doc.message.name());
  }
  for (const Drive& drive : drives()) EXPECT_EQ(named.count(std::string(drive.name)), 1u) << drive.name;
}

// Every deviation of the table reaches the car; a forgotten one would make the logs too good to be true.
TEST(TrueCar, DiffersFromItsDocumentByTheTable) {
  document::Faults faults;
  const auto doc = scenario::load_document<v1::Vehicle>(library() / "vehicle/sorrel.textproto", faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  const v1::Vehicle& nominal = doc.message;
  const v1::Vehicle car = true_car(nominal);
  EXPECT_DOUBLE_EQ(car.chassis().mass_kg() - nominal.chassis().mass_kg(), 25);
  for (auto brake : {&v1::Vehicle::front_brake, &v1::Vehicle::rear_brake})
    for (int i = 0; i < (nominal.*brake)().pad_friction().points_size(); ++i)
      EXPECT_DOUBLE_EQ((car.*brake)().pad_friction().points(i).y(),
                       1.02 * (nominal.*brake)().pad_friction().points(i).y());
  EXPECT_DOUBLE_EQ(car.front_tyre().p_dx1(), 0.985 * nominal.front_tyre().p_dx1());
  EXPECT_DOUBLE_EQ(car.rear_tyre().p_dx1(), 0.985 * nominal.rear_tyre().p_dx1());
  EXPECT_DOUBLE_EQ(car.front_actuator().lag_ms() - nominal.front_actuator().lag_ms(), 2);
  EXPECT_DOUBLE_EQ(car.rear_actuator().lag_ms() - nominal.rear_actuator().lag_ms(), 2);
  EXPECT_DOUBLE_EQ(car.front_brake().stiffness_bar_per_cm3(),
                   0.97 * nominal.front_brake().stiffness_bar_per_cm3());
  EXPECT_DOUBLE_EQ(car.aero().drag_area_m2(), 1.02 * nominal.aero().drag_area_m2());
  EXPECT_DOUBLE_EQ(car.driveline().engine_braking_nm(), 1.05 * nominal.driveline().engine_braking_nm());
  EXPECT_NEAR(car.sensors().hand_track_a().zero_volts() - nominal.sensors().hand_track_a().zero_volts(),
              0.004, 1e-12);
}

}  // namespace
}  // namespace brakeward::generator
