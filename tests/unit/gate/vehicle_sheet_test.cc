// The vehicle sheet as a program that embeds it calls it: what it refuses, and how it reads.
#include "gate/vehicle_sheet.h"

#include <gtest/gtest.h>

#include <sstream>

#include "end_to_end/library_copy.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

std::string refusal(const std::string& vehicle, const std::string& calibration = "") {
  const auto sheet = load_vehicle_sheet(vehicle, calibration);
  EXPECT_FALSE(sheet.ok());
  EXPECT_EQ(sheet.status().code(), absl::StatusCode::kInvalidArgument);
  return std::string(sheet.status().message());
}

void expect_parts(const std::string& text, const std::vector<std::string>& parts) {
  for (const std::string& part : parts) EXPECT_NE(text.find(part), std::string::npos) << part << "\n" << text;
}

std::string text_of(const std::string& vehicle, const std::string& calibration = "") {
  const auto sheet = load_vehicle_sheet(vehicle, calibration);
  EXPECT_TRUE(sheet.ok()) << sheet.status();
  return sheet.ok() ? render(*sheet) : "";
}

void expect_narrow(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(line.size(), 110u) << line;
    EXPECT_TRUE(line.empty() || line.back() != ' ') << line;
  }
}

TEST(VehicleSheet, NamesEveryFaultOfBothDocuments) {
  const LibraryCopy copy;
  copy.set_value(copy.vehicle(), "mass_kg", "50");
  copy.set_value(copy.vehicle(), "lag_ms", "0");
  copy.set_value(copy.released(), "low_pass_hz", "900");
  expect_parts(refusal(copy.vehicle(), copy.released()),
               {"chassis.mass_kg", "front_actuator.lag_ms", "hand_control.low_pass_hz", "100 to 10000"});
}

TEST(VehicleSheet, RefusesACalibrationOfAnotherCar) {
  const LibraryCopy copy;
  const std::string other = BRAKEWARD_SOURCE_DIR "/scenarios/bracken/calibrations/released.textproto";
  expect_parts(refusal(copy.vehicle(), other),
               {other + ": vehicle: ", "belongs to \"bracken\"", "describes \"sorrel\""});
}

TEST(VehicleSheet, RefusesChoicesTheCalibrationDoesNotHave) {
  const LibraryCopy copy;
  const std::string odd = copy.candidate([](v1::Calibration& c) {
    c.mutable_balance()->set_step("+9");
    c.mutable_hand_control()->set_effort_grade("heavy");
  });
  expect_parts(refusal(copy.vehicle(), odd), {"balance.step: no step is named \"+9\"",
                                              "hand_control.effort_grade: no grade is named \"heavy\""});
}

TEST(VehicleSheet, RefusesACentreOfGravityBehindTheRearAxle) {
  const LibraryCopy copy;
  copy.set_value(copy.vehicle(), "cog_behind_front_axle_m", "3.1");
  expect_parts(refusal(copy.vehicle()), {copy.vehicle() + ": chassis.cog_behind_front_axle_m: 3.1 m",
                                         "less than the wheelbase, 2.95 m"});
}

TEST(VehicleSheet, SaysWhatItCannotSay) {
  const LibraryCopy copy;
  const std::string alone = text_of(copy.vehicle()), with = text_of(copy.vehicle(), copy.released());
  expect_parts(alone, {"No calibration given: nothing is said about balance steps",
                       "No calibration given: nothing is said about its own delays", "equal pressures"});
  EXPECT_EQ(with.find("No calibration given"), std::string::npos);
  expect_parts(with, {"step -2", "step +2", "calibration released, step 0", "with the calibration",
                      "from memory", "release for road or track"});
}

TEST(VehicleSheet, SaysWhatTheFootDoesWithoutPower) {
  const LibraryCopy copy;
  expect_parts(text_of(copy.vehicle()),
               {"The pedal alone, the by-wire unit without power", "500 N",
                "without power the hand control does not brake", "The fluid boils at 277 degC"});
  const auto v = copy.change<v1::Vehicle>(copy.vehicle(), [](v1::Vehicle& doc) { doc.clear_pedal_path(); });
  expect_parts(text_of(v), {"without power NOTHING brakes this car"});
}

TEST(VehicleSheet, IsNarrowWhateverTheNames) {
  const LibraryCopy copy;
  const std::string step = "\xC3\xA4" + std::string(60, 's');
  const auto v = copy.change<v1::Vehicle>(copy.vehicle(), [&](v1::Vehicle& doc) {
    doc.set_name("sorrel");
    doc.set_provenance("Made up of many words. \t" + std::string(100, 'w'));
  });
  const std::string c = copy.candidate([&](v1::Calibration& doc) {
    doc.set_name("long " + std::string(90, 'c'));
    doc.mutable_balance()->mutable_steps(2)->set_name(step);
    doc.mutable_balance()->set_step(step);
  });
  expect_parts(text_of(v, c), {"step \xC3\xA4ssssss..."});
  expect_narrow(text_of(copy.vehicle()));
  expect_narrow(text_of(copy.vehicle(), copy.released()));
}

// A car at the edge of what the schema allows: rear wheels that lift, brakes that hardly brake.
TEST(VehicleSheet, ReadsWellAtTheEdges) {
  const LibraryCopy copy;
  const auto v = copy.change<v1::Vehicle>(copy.vehicle(), [](v1::Vehicle& doc) {
    doc.mutable_chassis()->set_cog_height_m(1.5);
    doc.mutable_chassis()->set_cog_behind_front_axle_m(0.3);
    for (auto* b : {doc.mutable_front_brake(), doc.mutable_rear_brake()}) b->set_piston_area_cm2(1);
  });
  const std::string text = text_of(v);
  expect_parts(text, {"lifted", "MORE THAN 100 %", "not in 2 s"});
  EXPECT_EQ(text.find("nan"), std::string::npos);
  EXPECT_EQ(text.find("inf"), std::string::npos);
  expect_narrow(text);
}

TEST(VehicleSheet, IsTheSameEveryTime) {
  const LibraryCopy copy;
  EXPECT_EQ(text_of(copy.vehicle(), copy.released()), text_of(copy.vehicle(), copy.released()));
}

}  // namespace
}  // namespace brakeward::gate
