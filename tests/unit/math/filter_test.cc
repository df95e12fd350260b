// Filters against the SAE J211-1 App. C / ISO 6487 formulas (VERIFIED against public code of them; the
// coefficient table DERIVED from them and equal to a Butterworth design by scipy.signal.butter) and against
// closed forms.
#include "math/filter.h"

#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace brakeward::math {
namespace {

using testing::HasSubstr;

struct Row {
  double channel_class, sample_rate_hz, a0, b1, b2;
};

constexpr Row kTable[] = {
    {60, 10e3, .0014523675, 1.8893432242, -.8951526941},
    {180, 10e3, .0117962711, 1.6701174633, -.7173025477},
    {600, 10e3, .0971846253, .9455740091, -.3343125102},
    {60, 1e3, .0971846253, .9455740091, -.3343125102},
    {1000, 10e3, .2192314172, .3118965450, -.1888222139},
    {1000, 20e3, .0718930971, 1.1115861762, -.3991585644},
    {10, 200, .0718930971, 1.1115861762, -.3991585644},
    {10, 1e3, .0038951745, 1.8158557277, -.8314364256},
};
constexpr double kHalfOfLastDigit = 0.5001e-10;

TEST(CfcFilter, CoefficientsMatchTheTable) {
  for (const Row& row : kTable) {
    const auto c = cfc_coefficients(row.channel_class, row.sample_rate_hz);
    ASSERT_TRUE(c.ok()) << c.status();
    EXPECT_NEAR(c->a0, row.a0, kHalfOfLastDigit);
    EXPECT_EQ(c->a1, 2 * c->a0);
    EXPECT_EQ(c->a2, c->a0);
    EXPECT_NEAR(c->b1, row.b1, kHalfOfLastDigit);
    EXPECT_NEAR(c->b2, row.b2, kHalfOfLastDigit);
    EXPECT_NEAR(c->a0 + c->a1 + c->a2 + c->b1 + c->b2, 1.0, 1e-15);
  }
}

// Gain of both passes at a frequency, from the transfer function.
double gain(const CfcCoefficients& c, double frequency_hz, double sample_rate_hz) {
  const std::complex<double> z = std::polar(1.0, -2 * std::numbers::pi * frequency_hz / sample_rate_hz);
  return std::norm((c.a0 + c.a1 * z + c.a2 * z * z) / (1.0 - c.b1 * z - c.b2 * z * z));
}

// Two passes are 6.02 dB down at 2.0775 CFC exactly, and 3 dB down at CFC 5/3 for a Butterworth filter:
// 2.0775 (sqrt 2 - 1)^(1/4) = 1.6667 (DERIVED). Sampling bends the frequency axis by less than 0.01 dB here.
TEST(CfcFilter, IsThreeDecibelsDownAtFiveThirdsOfItsClass) {
  for (const double channel_class : {60.0, 180.0, 600.0, 1000.0}) {
    const double rate = 100 * channel_class;
    const auto c = cfc_coefficients(channel_class, rate);
    ASSERT_TRUE(c.ok());
    EXPECT_NEAR(10 * std::log10(gain(*c, channel_class * 5 / 3, rate)) * 2, -3.0103, 0.01);
    EXPECT_NEAR(gain(*c, channel_class * 2.0775, rate), 0.5, 1e-12);
  }
}

TEST(CfcFilter, PassesASineWithThatGainAndNoPhaseShift) {
  constexpr double kRate = 1000.0, kClass = 10.0, kFrequency = 12.5;
  std::vector<double> samples(4000);
  for (size_t i = 0; i < samples.size(); ++i)
    samples[i] = std::sin(2 * std::numbers::pi * kFrequency * static_cast<double>(i) / kRate);
  const auto c = cfc_coefficients(kClass, kRate);
  const auto filtered = cfc_filter(samples, kClass, kRate);
  ASSERT_TRUE(c.ok() && filtered.ok());
  for (size_t i = 1500; i < 2500; ++i) {  // far from the ends, where start-up has died away
    ASSERT_NEAR((*filtered)[i], gain(*c, kFrequency, kRate) * samples[i], 1e-12) << i;
  }
}

TEST(CfcFilter, StartsInTheSteadyState) {
  const auto filtered = cfc_filter(std::vector<double>(500, 83.7), 60, 1000);
  ASSERT_TRUE(filtered.ok());
  for (const double y : *filtered) ASSERT_NEAR(y, 83.7, 83.7 * 1e-13);
}

TEST(CfcFilter, IsSymmetricInTime) {
  std::vector<double> pulse(2001, 0.0);
  pulse[1000] = 1.0;
  const auto filtered = cfc_filter(pulse, 60, 1000);
  ASSERT_TRUE(filtered.ok());
  for (size_t i = 0; i <= 1000; ++i) ASSERT_NEAR((*filtered)[1000 - i], (*filtered)[1000 + i], 1e-15);
}

TEST(CfcFilter, NothingInNothingOut) {
  const auto filtered = cfc_filter({}, 60, 1000);
  ASSERT_TRUE(filtered.ok());
  EXPECT_TRUE(filtered->empty());
}

TEST(CfcFilter, RefusesWhatItCannotDo) {
  EXPECT_THAT(std::string(cfc_coefficients(180, 1000).status().message()),
              HasSubstr("sample rate 1000 Hz is below 10 times the channel class 180: give 1800 Hz or more"));
  EXPECT_THAT(std::string(cfc_coefficients(-1, 0).status().message()),
              testing::AllOf(HasSubstr("channel class -1"), HasSubstr("sample rate 0 Hz")));
  const std::vector<double> broken = {1.0, std::numeric_limits<double>::quiet_NaN(), 2.0};
  EXPECT_THAT(std::string(cfc_filter(broken, 180, 1000).status().message()),
              testing::AllOf(HasSubstr("1 of 3 samples are not finite, the first at position 1"),
                             HasSubstr("sample rate")));
}

// Step response 1 - exp(-t/tau) of the first-order lag, exact at every sample (closed form).
TEST(LowPass, FollowsTheExactStepResponse) {
  constexpr double kTau = 0.05, kStep = 0.001;
  const double c = low_pass_coefficient(kTau, kStep);
  double y = 0.0;
  for (int i = 1; i <= 300; ++i) {
    y += c * (1.0 - y);
    // The coefficient is good to 1 ulp of 1 and enters once a step.
    ASSERT_NEAR(y, 1.0 - std::exp(-i * kStep / kTau), 4 * i * 0x1p-53);
  }
  EXPECT_EQ(low_pass_coefficient(0.0, kStep), 1.0);
  EXPECT_EQ(low_pass_coefficient(kTau, 0.0), 0.0);
}

TEST(CentredMovingAverage, KeepsStraightLinesToTheEnds) {
  std::vector<double> line(50);
  for (size_t i = 0; i < line.size(); ++i) line[i] = 3.0 + 0.25 * static_cast<double>(i);
  const std::vector<double> mean = centred_moving_average(line, 6);
  for (size_t i = 0; i < line.size(); ++i) EXPECT_NEAR(mean[i], line[i], 1e-13) << i;
}

TEST(CentredMovingAverage, SpreadsAPulseOverItsWindow) {
  std::vector<double> pulse(11, 0.0);
  pulse[5] = 5.0;
  EXPECT_THAT(centred_moving_average(pulse, 2), testing::ElementsAre(0, 0, 0, 1, 1, 1, 1, 1, 0, 0, 0));
  EXPECT_THAT(centred_moving_average(pulse, 0), testing::ElementsAreArray(pulse));
  EXPECT_TRUE(centred_moving_average({}, 3).empty());
}

}  // namespace
}  // namespace brakeward::math
