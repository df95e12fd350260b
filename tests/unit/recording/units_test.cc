#include "recording/units.h"

#include <set>

#include "logs.h"

namespace brakeward::recording {
namespace {

double in_base(std::string_view unit, Quantity quantity, double x) {
  const Unit* found = find_unit(unit, quantity);
  EXPECT_NE(found, nullptr) << unit;
  return found == nullptr ? 0 : found->to_base(x);
}

// Factors as NIST SP 811 (2008), appendix B.8 and B.9, prints them, to its seven digits. MEMORY.
TEST(Units, FactorsAgreeWithPublishedTables) {
  EXPECT_NEAR(in_base("psi", Quantity::kPressure, 1), 6.894757e3, 5e-4);
  EXPECT_NEAR(in_base("lbf", Quantity::kForce, 1), 4.448222, 5e-7);
  EXPECT_NEAR(in_base("mph", Quantity::kSpeed, 1), 4.4704e-1, 1e-15);
  EXPECT_NEAR(in_base("km/h", Quantity::kSpeed, 1), 2.777778e-1, 5e-8);
  EXPECT_NEAR(in_base("in", Quantity::kLength, 1), 2.54e-2, 1e-17);
  EXPECT_NEAR(in_base("g", Quantity::kAcceleration, 1), 9.80665, 1e-15);
  EXPECT_NEAR(in_base("deg", Quantity::kAngle, 1), 1.745329e-2, 5e-9);
  EXPECT_EQ(in_base("bar", Quantity::kPressure, 1), 1e5);
  EXPECT_EQ(in_base("mbar", Quantity::kPressure, 1), 1e2);
}

TEST(Units, TemperaturesAgreeAtTheFixedPoints) {
  EXPECT_NEAR(in_base("degF", Quantity::kTemperature, 212), 100, 1e-12);
  EXPECT_NEAR(in_base("degF", Quantity::kTemperature, -40), -40, 1e-12);
  EXPECT_NEAR(in_base("K", Quantity::kTemperature, 273.15), 0, 1e-12);
}

TEST(Units, OtherSpellingsAreTheSameUnit) {
  for (const char* name : {"km/h", "kph", "kmh", "kmph"}) EXPECT_EQ(in_base(name, Quantity::kSpeed, 36), 10);
  for (const char* name : {"m/s^2", "m/s2", "mps2"}) EXPECT_EQ(in_base(name, Quantity::kAcceleration, 3), 3);
  EXPECT_EQ(find_unit("", Quantity::kSpeed), nullptr);
  EXPECT_EQ(find_unit("kph kmh", Quantity::kSpeed), nullptr);
  EXPECT_EQ(find_unit("KPA", Quantity::kPressure), nullptr) << "case matters: mPa is not MPa";
}

TEST(Units, ConversionAndBackAreInverse) {
  for (const char* name : {"Pa", "kPa", "MPa", "bar", "mbar", "psi"}) {
    const Unit* unit = find_unit(name, Quantity::kPressure);
    EXPECT_DOUBLE_EQ(unit->from_base(unit->to_base(12.5)), 12.5) << name;
  }
  const Unit* fahrenheit = find_unit("degF", Quantity::kTemperature);
  EXPECT_DOUBLE_EQ(fahrenheit->from_base(fahrenheit->to_base(451)), 451);
}

TEST(Signals, AllHaveANameAUnitAndARangeAroundZeroEffort) {
  std::set<std::string_view> names;
  for (size_t i = 0; i < static_cast<size_t>(Signal::kCount); ++i) {
    const Signal s = static_cast<Signal>(i);
    EXPECT_TRUE(names.insert(name(s)).second) << name(s);
    const Unit* base = find_unit(base_unit(s), facts(s).quantity);
    ASSERT_NE(base, nullptr) << name(s);
    EXPECT_EQ(base->to_base(7), 7) << name(s);
    EXPECT_LT(facts(s).least, 0) << name(s);
    EXPECT_GT(facts(s).greatest, 0) << name(s);
  }
  EXPECT_EQ(name(Signal::kCount), "unknown");
  EXPECT_EQ(base_unit(Signal::kCount), "");
}

// The plausible ranges are made up; these are the confusions they must tell.
TEST(Signals, PlausibleRangesTellCommonConfusions) {
  EXPECT_GT(30e5, facts(Signal::kFrontPressure).least);
  EXPECT_LT(250e5, facts(Signal::kFrontPressure).greatest) << "the highest demand a calibration may have";
  EXPECT_GT(1000e5, facts(Signal::kFrontPressure).greatest) << "kPa taken for bar";
  EXPECT_LT(400 / 3.6, facts(Signal::kSpeed).greatest) << "400 km/h";
  EXPECT_GT(200, facts(Signal::kSpeed).greatest) << "km/h taken for m/s";
  EXPECT_GT(9.80665 * 10, facts(Signal::kDeceleration).greatest) << "m/s^2 taken for g";
  EXPECT_LT(0.3, facts(Signal::kHandTravel).greatest) << "the longest stroke a calibration may have";
  EXPECT_GT(50, facts(Signal::kHandTravel).greatest) << "mm taken for m";
  EXPECT_GT(50, facts(Signal::kAccelerator).greatest) << "percent taken for 1";
  EXPECT_GT(90, facts(Signal::kSteeringAngle).greatest) << "degrees taken for radians";
}

}  // namespace
}  // namespace brakeward::recording
