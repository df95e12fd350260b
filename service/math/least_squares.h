// Least squares: linear in the coefficients by Householder QR, and a few nonlinear parameters by
// Gauss-Newton.
#pragma once

#include <Eigen/Core>
#include <functional>

#include "absl/status/statusor.h"

namespace brakeward::math {

struct LinearFit {
  Eigen::VectorXd coefficients;
  Eigen::VectorXd standard_errors;  // sqrt of the diagonal of sigma^2 (X'X)^-1
  double residual_sum_of_squares = 0.0;
  double residual_sigma = 0.0;  // sqrt(residual_sum_of_squares / degrees_of_freedom)
  int degrees_of_freedom = 0;   // observations less coefficients
};

// Minimises |design b - observations|^2. `design` has a row for each observation and a column for each
// coefficient (a column of ones for an intercept). Refuses: unlike sizes, no more rows than columns,
// values that are not finite, columns that depend on each other.
absl::StatusOr<LinearFit> fit_linear(const Eigen::MatrixXd& design, const Eigen::VectorXd& observations);

struct NonlinearOptions {
  // Typical size of each parameter, > 0; sets the step of the forward differences where a parameter is
  // near 0. Empty: 1 for each.
  Eigen::VectorXd typical;
  int max_iterations = 50;
  // Done when a step would lower the sum of squares by less than this share of it, or move no parameter by
  // more than this share of its size.
  double tolerance = 1e-10;
};

struct NonlinearFit {
  Eigen::VectorXd parameters;
  Eigen::VectorXd standard_errors;  // of the linearised problem at the solution
  double residual_sum_of_squares = 0.0;
  double residual_sigma = 0.0;
  int degrees_of_freedom = 0;
  int iterations = 0;
};

using ResidualFunction = std::function<Eigen::VectorXd(const Eigen::VectorXd& parameters)>;

// Minimises |residuals(p)|^2 from `initial` by Gauss-Newton with forward differences; a step that does not
// lower the sum is halved. The size of the residual vector must not change. A trial whose residuals are not
// finite counts as worse. Refuses what fit_linear refuses of the linearised problem; kFailedPrecondition
// when it has not converged after max_iterations or finds no lower sum along a step.
absl::StatusOr<NonlinearFit> fit_nonlinear(const ResidualFunction& residuals, const Eigen::VectorXd& initial,
                                           const NonlinearOptions& options = {});

}  // namespace brakeward::math
