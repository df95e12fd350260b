// Changed hardware: what of a difference is the car's and what the calibration's, on changes whose part is
// known; and what is refused.
#include "gate/compare.h"

#include <gtest/gtest.h>

#include "end_to_end/library_copy.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

class Compare : public testing::Test {
 protected:
  void SetUp() override {
    copy_.keep({"saltmarsh_dry_100"});
    copy_.make_baseline();
  }

  std::string vehicle(const std::function<void(v1::Vehicle&)>& change) {
    return copy_.change<v1::Vehicle>(copy_.vehicle(), change, copy_.beside("vehicle.textproto"));
  }
  absl::StatusOr<verdict::HardwareComparison> compare(const std::string& vehicle,
                                                      const std::string& calibration,
                                                      const std::string& old_calibration = "") {
    CompareOptions options;
    options.run.library = copy_.folder();
    options.run.calibration = calibration;
    options.new_vehicle = vehicle;
    options.old_calibration = old_calibration;
    return compare_hardware(options);
  }

  LibraryCopy copy_;
};

const verdict::ComparedMeasure& measure_of(const verdict::HardwareComparison& c, const std::string& name) {
  static const verdict::ComparedMeasure none;
  for (const auto& m : c.scenarios.at(0).measures)
    if (m.measure == name) return m;
  ADD_FAILURE() << name;
  return none;
}

void add_mass(v1::Vehicle& v) {
  v.mutable_chassis()->set_mass_kg(1800);
}

void shift_balance(v1::Calibration& c) {
  for (auto& step : *c.mutable_balance()->mutable_steps())
    if (step.name() == "0") step.set_front_percent(62);
}

TEST_F(Compare, GivesTheWholeDifferenceToTheHardwareWhereTheCalibrationStays) {
  const auto c = compare(vehicle(add_mass), copy_.released());
  ASSERT_TRUE(c.ok()) << c.status();
  ASSERT_EQ(c->vehicle_changes.size(), 1u);
  EXPECT_EQ(c->vehicle_changes[0].address, "chassis.mass_kg");
  EXPECT_TRUE(c->calibration_changes.empty());
  const auto& stop = measure_of(*c, "stopping_distance");
  EXPECT_GT(*stop.by_hardware(), 0) << "a heavier car stops later";
  for (const auto& m : c->scenarios[0].measures) {
    if (m.by_calibration()) {
      EXPECT_EQ(*m.by_calibration(), 0) << m.measure;
    }
  }
}

TEST_F(Compare, PartsTheDifferenceOfBoth) {
  const std::string calibration = copy_.candidate(shift_balance);
  const auto c = compare(vehicle(add_mass), calibration);
  ASSERT_TRUE(c.ok()) << c.status();
  const auto& share = measure_of(*c, "front_share");
  EXPECT_GT(*share.by_calibration(), 1);
  EXPECT_LT(std::abs(*share.by_hardware()), 0.2) << "mass moves the share of the torque by little";
  EXPECT_DOUBLE_EQ(*share.by_hardware() + *share.by_calibration(), *share.new_on_new - *share.old_on_old);
  EXPECT_GT(*share.tolerance, 0);
}

// The same question asked of single checks.
TEST_F(Compare, AgreesWithChecksOfItsParts) {
  const std::string calibration = copy_.candidate(shift_balance);
  const auto c = compare(vehicle(add_mass), calibration);
  ASSERT_TRUE(c.ok()) << c.status();
  Options options;
  options.library = copy_.folder();
  options.calibration = copy_.released();
  const auto old_on_old = check(options);
  ASSERT_TRUE(old_on_old.ok()) << old_on_old.status();
  for (const auto& m : old_on_old->scenarios[0].measures) {
    if (m.value) {
      EXPECT_EQ(*m.value, *measure_of(*c, m.measure).old_on_old) << m.measure;
    }
  }
}

TEST_F(Compare, GoesThroughAMessage) {
  const auto c = compare(vehicle(add_mass), copy_.candidate(shift_balance));
  ASSERT_TRUE(c.ok()) << c.status();
  const v1::HardwareComparison message = to_message(*c);
  EXPECT_EQ(message.scenarios(0).measures_size(), static_cast<int>(c->scenarios[0].measures.size()));
  EXPECT_EQ(message.vehicle_changes(0).address(), "chassis.mass_kg");
  EXPECT_EQ(message.old_calibration().name(), "released");
  EXPECT_FALSE(message.caution().empty());
}

TEST_F(Compare, RefusesACarThatHasNotChangedOrIsAnotherOne) {
  const auto same = compare(copy_.vehicle(), copy_.released());
  ASSERT_FALSE(same.ok());
  EXPECT_NE(same.status().message().find("no hardware changes"), std::string::npos) << same.status();
  const auto other = compare(vehicle([](v1::Vehicle& v) { v.set_name("thistle"); }), copy_.released());
  ASSERT_FALSE(other.ok());
  EXPECT_NE(other.status().message().find("the car under check is \"thistle\""), std::string::npos)
      << other.status();
}

TEST_F(Compare, NeedsAnOldCalibration) {
  copy_.change<v1::Library>(copy_.index(), [](v1::Library& l) { l.clear_baseline_file(); });
  const auto none = compare(vehicle(add_mass), copy_.candidate(shift_balance));
  ASSERT_FALSE(none.ok());
  EXPECT_NE(none.status().message().find("name it with --old-calibration"), std::string::npos)
      << none.status();
  const auto named = compare(vehicle(add_mass), copy_.candidate(shift_balance), copy_.released());
  EXPECT_TRUE(named.ok()) << named.status();
}

}  // namespace
}  // namespace brakeward::gate
