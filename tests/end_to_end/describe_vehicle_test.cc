// `describe vehicle FILE`. Numbers are checked in tests/reference; here: what is printed where, exit codes.
#include <gtest/gtest.h>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

void expect_parts(const std::string& text, const std::vector<std::string>& parts) {
  for (const std::string& part : parts) EXPECT_NE(text.find(part), std::string::npos) << part << "\n" << text;
}

TEST(DescribeVehicle, PrintsTheSheet) {
  const LibraryCopy library;
  const Outcome alone = run({"describe", "vehicle", library.vehicle()});
  EXPECT_EQ(alone.exit_code, 0) << alone.err;
  EXPECT_EQ(alone.err, "");
  expect_parts(alone.out, {"Vehicle sheet: sorrel", "\nBody\n", "\nAxle loads in N",
                           "\nBalance: ", "\nAdhesion utilization", "\nPressure and fluid",
                           "\nTime from request", "\nHeat: ", "\nSteepest grade", "No calibration given"});
  const Outcome with =
      run({"describe", "Vehicle", library.vehicle(), "--calibration", library.released(), "--cargo", "300"});
  EXPECT_EQ(with.exit_code, 0) << with.err;
  // 1720 kg with 300 kg, from the documents.
  expect_parts(with.out,
               {"2020 kg   driver aboard, 300 kg of cargo", "step +1", "calibration released, step 0"});
}

TEST(DescribeVehicle, TellsEveryFault) {
  const LibraryCopy library;
  library.set_value(library.vehicle(), "mass_kg", "50");
  library.set_value(library.vehicle(), "wheelbase_m", "70");
  const Outcome outcome = run({"describe", "vehicle", library.vehicle()});
  EXPECT_EQ(outcome.exit_code, 65);
  EXPECT_EQ(outcome.out, "");
  expect_parts(outcome.err, {"chassis.mass_kg", "chassis.wheelbase_m"});
  EXPECT_EQ(run({"describe", "vehicle", library.beside("none.textproto")}).exit_code, 65);
}

// Every value is in its range; together they make a tyre and a car that cannot be. A check says the same.
TEST(DescribeVehicle, RefusesACarThatCannotBe) {
  const LibraryCopy library;
  library.set_value(library.vehicle(), "p_dx2", "-0.9");
  library.set_value(library.vehicle(), "cog_behind_front_axle_m", "4");
  for (const Outcome& outcome :
       {run({"describe", "vehicle", library.vehicle()}),
        run({"check", "--library", library.folder().string(), "--calibration", library.released()})}) {
    EXPECT_EQ(outcome.exit_code, 65);
    EXPECT_EQ(outcome.out, "");
    expect_parts(outcome.err,
                 {library.vehicle(), "front_tyre.p_dx2: peak friction is -", " N; it must be above 0",
                  "chassis.cog_behind_front_axle_m: 4 m, behind the rear axle", "2.95 m"});
  }
}

TEST(DescribeVehicle, ACheckTellsOfTheCarAndOfTheCandidate) {
  const LibraryCopy library;
  library.set_value(library.vehicle(), "p_dx2", "-0.9");
  const std::string candidate = library.candidate([](v1::Calibration&) {});
  library.set_value(candidate, "low_pass_hz", "-5");
  const Outcome outcome = library.check(candidate);
  EXPECT_EQ(outcome.exit_code, 65);
  expect_parts(outcome.err, {"front_tyre.p_dx2: peak friction is -", candidate, "low_pass_hz: -5 Hz"});
}

TEST(DescribeVehicle, RefusesWhatDoesNotGoTogether) {
  const LibraryCopy library;
  const struct {
    std::vector<std::string> arguments;
    const char* part;
  } rows[] = {{{"describe", "calibration", library.released()}, "for type vehicle only"},
              {{"describe", "vehicle", library.vehicle(), "--json-schema"}, "no JSON Schema"},
              {{"describe", "vehicle", "--calibration", library.released()}, "describe vehicle FILE"},
              {{"describe", "vehicle", library.vehicle(), "--cargo", "-5"}, "--cargo"},
              {{"describe", "vehicle", ""}, "is empty"}};
  for (const auto& row : rows) {
    const Outcome outcome = run(row.arguments);
    EXPECT_EQ(outcome.exit_code, 64) << row.part;
    EXPECT_EQ(outcome.out, "");
    expect_parts(outcome.err, {row.part});
  }
}

}  // namespace
}  // namespace brakeward::end_to_end
