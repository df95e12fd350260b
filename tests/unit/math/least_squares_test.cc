// Fits against published data with published or independently computed answers.
#include "math/least_squares.h"

#include <cmath>
#include <limits>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace brakeward::math {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;
using testing::HasSubstr;

// Stopping distances of the 1920s: Ezekiel 1930, data set `cars` of R (VERIFIED, read out of R 4.2.2).
// Speed in mph, distance in ft. The answers (DERIVED with R's definitions) are exact to their last digit.
constexpr double kSpeed[] = {4,  4,  7,  7,  8,  9,  10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13,
                             13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16, 17, 17, 17, 18, 18, 18,
                             18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25};
constexpr double kDistance[] = {2,  10, 4,  22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28,  26, 34,
                                34, 46, 26, 36, 60, 80, 20, 26, 54, 32, 40, 32, 40, 50, 42,  56, 76,
                                84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85};
constexpr int kCars = 50;

VectorXd speed() {
  return Eigen::Map<const VectorXd>(kSpeed, kCars);
}
VectorXd distance() {
  return Eigen::Map<const VectorXd>(kDistance, kCars);
}

TEST(FitLinear, CarsStraightLine) {
  MatrixXd design(kCars, 2);
  design << VectorXd::Ones(kCars), speed();
  const auto fit = fit_linear(design, distance());
  ASSERT_TRUE(fit.ok()) << fit.status();
  EXPECT_NEAR(fit->coefficients[0], -17.579095, 0.51e-6);
  EXPECT_NEAR(fit->coefficients[1], 3.932409, 0.51e-6);
  EXPECT_NEAR(fit->standard_errors[0], 6.758440, 0.51e-6);
  EXPECT_NEAR(fit->standard_errors[1], 0.415513, 0.51e-6);
  EXPECT_NEAR(fit->residual_sigma, 15.37959, 0.51e-5);
  EXPECT_NEAR(fit->residual_sum_of_squares, 11353.52, 0.51e-2);
  EXPECT_EQ(fit->degrees_of_freedom, 48);
}

TEST(FitLinear, CarsParabola) {
  MatrixXd design(kCars, 3);
  design << VectorXd::Ones(kCars), speed(), speed().cwiseAbs2();
  const auto fit = fit_linear(design, distance());
  ASSERT_TRUE(fit.ok()) << fit.status();
  EXPECT_NEAR(fit->coefficients[0], 2.470138, 0.51e-6);
  EXPECT_NEAR(fit->coefficients[1], 0.913288, 0.51e-6);
  EXPECT_NEAR(fit->coefficients[2], 0.0999593, 0.51e-7);
  EXPECT_NEAR(fit->residual_sigma, 15.17607, 0.51e-5);
  EXPECT_NEAR(fit->residual_sum_of_squares, 10824.716, 0.51e-3);
}

TEST(FitLinear, CarsReactionAndBraking) {
  MatrixXd design(kCars, 2);
  design << speed(), speed().cwiseAbs2();
  const auto fit = fit_linear(design, distance());
  ASSERT_TRUE(fit.ok()) << fit.status();
  EXPECT_NEAR(fit->coefficients[0], 1.239030, 0.51e-6);
  EXPECT_NEAR(fit->coefficients[1], 0.0901388, 0.51e-7);
  EXPECT_NEAR(fit->residual_sum_of_squares, 10831.117, 0.51e-3);

  const auto braking = fit_linear(speed().cwiseAbs2(), distance());
  ASSERT_TRUE(braking.ok()) << braking.status();
  EXPECT_NEAR(braking->coefficients[0], 0.1533738, 0.51e-7);
  EXPECT_NEAR(braking->standard_errors[0], 0.0071220, 0.51e-7);
}

TEST(FitLinear, ErrorsBelongToTheirColumnWhateverTheirOrder) {
  MatrixXd design(kCars, 2), swapped(kCars, 2);
  design << VectorXd::Ones(kCars), speed();
  swapped << speed(), VectorXd::Ones(kCars);
  const auto fit = fit_linear(design, distance()), other = fit_linear(swapped, distance());
  ASSERT_TRUE(fit.ok() && other.ok());
  EXPECT_NEAR(fit->standard_errors[0], other->standard_errors[1], 1e-12);
  EXPECT_NEAR(fit->standard_errors[1], other->standard_errors[0], 1e-12);
}

TEST(FitLinear, RefusesWhatCannotBeFitted) {
  MatrixXd dependent(kCars, 2);
  dependent << speed(), 2 * speed();
  EXPECT_THAT(std::string(fit_linear(dependent, distance()).status().message()),
              HasSubstr("only 1 of 2 coefficients can be told apart"));
  MatrixXd broken = MatrixXd::Ones(2, 2);
  broken(0, 0) = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THAT(std::string(fit_linear(broken, VectorXd::Ones(3)).status().message()),
              testing::AllOf(HasSubstr("2 rows but 3 observations"), HasSubstr("give at least 3"),
                             HasSubstr("design matrix holds values that are not finite")));
}

// NIST Statistical Reference Datasets, nonlinear regression, Misra1a (dental research, monomolecular
// adsorption): y = b1 (1 - exp(-b2 x)), certified values (MEMORY).
constexpr double kMisraY[] = {10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                              44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
constexpr double kMisraX[] = {77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                              378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};

VectorXd misra_residuals(const VectorXd& b) {
  VectorXd r(14);
  for (int i = 0; i < 14; ++i) r[i] = kMisraY[i] - b[0] * (1.0 - std::exp(-b[1] * kMisraX[i]));
  return r;
}

TEST(FitNonlinear, FindsTheCertifiedAnswerFromBothStarts) {
  NonlinearOptions options;
  options.typical = Eigen::Vector2d(100.0, 1e-4);
  for (const Eigen::Vector2d& start : {Eigen::Vector2d(500.0, 1e-4), Eigen::Vector2d(250.0, 5e-4)}) {
    const auto fit = fit_nonlinear(misra_residuals, start, options);
    ASSERT_TRUE(fit.ok()) << fit.status();
    EXPECT_NEAR(fit->parameters[0] / 2.3894212918e+02, 1.0, 1e-7);
    EXPECT_NEAR(fit->parameters[1] / 5.5015643181e-04, 1.0, 1e-7);
    EXPECT_NEAR(fit->residual_sum_of_squares / 1.2455138894e-01, 1.0, 1e-9);
    EXPECT_NEAR(fit->residual_sigma / 1.0187876330e-01, 1.0, 1e-9);
    // Forward differences carry about 1e-8 of relative error, amplified by the near-dependence of b1 and b2.
    EXPECT_NEAR(fit->standard_errors[0] / 2.7070075241e+00, 1.0, 1e-5);
    EXPECT_NEAR(fit->standard_errors[1] / 7.2668688436e-06, 1.0, 1e-5);
  }
}

TEST(FitNonlinear, AgreesWithTheLinearFitOfALinearModel) {
  MatrixXd design(kCars, 2);
  design << VectorXd::Ones(kCars), speed();
  const auto linear = fit_linear(design, distance());
  const auto fit = fit_nonlinear([&](const VectorXd& p) -> VectorXd { return design * p - distance(); },
                                 VectorXd::Zero(2));
  ASSERT_TRUE(linear.ok() && fit.ok());
  EXPECT_NEAR(fit->parameters[0], linear->coefficients[0], 1e-6);
  EXPECT_NEAR(fit->parameters[1], linear->coefficients[1], 1e-6);
  EXPECT_NEAR(fit->standard_errors[1], linear->standard_errors[1], 1e-6);
  EXPECT_LE(fit->iterations, 3);
}

TEST(FitNonlinear, HalvesStepsThatOvershoot) {
  // Newton's step for atan(p) = 0 diverges from |p| > 1.39; half steps bring it home.
  const auto fit = fit_nonlinear(
      [](const VectorXd& p) -> VectorXd { return Eigen::Vector2d(std::atan(p[0]), 0.1 * p[0]); },
      VectorXd::Constant(1, 30.0));
  ASSERT_TRUE(fit.ok()) << fit.status();
  EXPECT_NEAR(fit->parameters[0], 0.0, 1e-8);
}

TEST(FitNonlinear, SaysWhyItGivesUp) {
  NonlinearOptions hasty;
  hasty.max_iterations = 1;
  const auto fit = fit_nonlinear(misra_residuals, Eigen::Vector2d(500.0, 1e-4), hasty);
  EXPECT_EQ(fit.status().code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_THAT(std::string(fit.status().message()), HasSubstr("not converged after 1 iterations"));

  const auto outside =
      fit_nonlinear([](const VectorXd& p) -> VectorXd { return VectorXd::Constant(3, std::sqrt(p[0])); },
                    VectorXd::Constant(1, -1.0));
  EXPECT_EQ(outside.status().code(), absl::StatusCode::kInvalidArgument);
  NonlinearOptions wrong;
  wrong.typical = Eigen::Vector3d::Ones();
  EXPECT_THAT(
      std::string(fit_nonlinear(misra_residuals, Eigen::Vector2d(500.0, 1e-4), wrong).status().message()),
      HasSubstr("3 typical sizes for 2 parameters"));
}

}  // namespace
}  // namespace brakeward::math
