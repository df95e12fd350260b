#include "math/least_squares.h"

#include <Eigen/QR>
#include <cmath>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"

namespace brakeward::math {
namespace {

absl::Status check(const Eigen::MatrixXd& design, const Eigen::VectorXd& observations) {
  std::vector<std::string> faults;
  if (design.rows() != observations.size()) {
    faults.push_back(absl::StrCat(design.rows(), " rows but ", observations.size(),
                                  " observations: give one row for each"));
  }
  if (design.cols() == 0) faults.push_back("no columns: give at least one coefficient to fit");
  if (design.rows() <= design.cols()) {
    faults.push_back(absl::StrCat(design.rows(), " observations for ", design.cols(),
                                  " coefficients: give at least ", design.cols() + 1));
  }
  if (!design.allFinite()) faults.push_back("the design matrix holds values that are not finite");
  if (!observations.allFinite()) faults.push_back("the observations hold values that are not finite");
  if (faults.empty()) return absl::OkStatus();
  return absl::InvalidArgumentError(absl::StrJoin(faults, "; "));
}

absl::Status check_start(const Eigen::VectorXd& initial, const NonlinearOptions& options) {
  std::vector<std::string> faults;
  if (!initial.allFinite()) faults.push_back("the initial parameters hold values that are not finite");
  if (options.typical.size() != 0 && options.typical.size() != initial.size()) {
    faults.push_back(absl::StrCat(options.typical.size(), " typical sizes for ", initial.size(),
                                  " parameters: give one for each or none"));
  }
  if (options.typical.size() != 0 && !(options.typical.allFinite() && options.typical.minCoeff() > 0.0)) {
    faults.push_back("typical sizes must be finite and above 0");
  }
  if (faults.empty()) return absl::OkStatus();
  return absl::InvalidArgumentError(absl::StrJoin(faults, "; "));
}

// Infinite where a residual is not finite, so that such a trial never wins.
double sum_of_squares(const Eigen::VectorXd& r) {
  return r.allFinite() ? r.squaredNorm() : HUGE_VAL;
}

absl::StatusOr<Eigen::MatrixXd> jacobian(const ResidualFunction& residuals, const Eigen::VectorXd& p,
                                         const Eigen::VectorXd& at_p, const Eigen::VectorXd& size) {
  constexpr double kRelativeStep = 0x1p-26;  // sqrt of the rounding of double
  Eigen::MatrixXd slope(at_p.size(), p.size());
  for (Eigen::Index i = 0; i < p.size(); ++i) {
    Eigen::VectorXd moved = p;
    moved[i] += kRelativeStep * size[i];
    const Eigen::VectorXd r = residuals(moved);
    if (r.size() != at_p.size() || !r.allFinite()) {
      return absl::InvalidArgumentError(absl::StrCat("residuals next to parameter ", i, " = ", p[i], " are ",
                                                     r.size(), " values for ", at_p.size(),
                                                     ", or not finite: start further inside their range"));
    }
    slope.col(i) = (r - at_p) / (moved[i] - p[i]);
  }
  return slope;
}

}  // namespace

absl::StatusOr<LinearFit> fit_linear(const Eigen::MatrixXd& design, const Eigen::VectorXd& observations) {
  if (absl::Status status = check(design, observations); !status.ok()) return status;
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(design);
  if (qr.rank() < design.cols()) {
    return absl::InvalidArgumentError(absl::StrCat("only ", qr.rank(), " of ", design.cols(),
                                                   " coefficients can be told apart from these data: drop a",
                                                   " column or vary the inputs more"));
  }
  LinearFit fit;
  fit.coefficients = qr.solve(observations);
  fit.residual_sum_of_squares = (observations - design * fit.coefficients).squaredNorm();
  fit.degrees_of_freedom = static_cast<int>(design.rows() - design.cols());
  fit.residual_sigma = std::sqrt(fit.residual_sum_of_squares / fit.degrees_of_freedom);
  // (X'X)^-1 = P R^-1 R^-T P', so its diagonal holds the squared row norms of P R^-1.
  const Eigen::Index n = design.cols();
  const Eigen::MatrixXd inverse =
      qr.matrixR().topLeftCorner(n, n).triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(n, n));
  fit.standard_errors = qr.colsPermutation() * (fit.residual_sigma * inverse.rowwise().norm());
  return fit;
}

absl::StatusOr<NonlinearFit> fit_nonlinear(const ResidualFunction& residuals, const Eigen::VectorXd& initial,
                                           const NonlinearOptions& options) {
  if (absl::Status status = check_start(initial, options); !status.ok()) return status;
  const Eigen::VectorXd typical =
      options.typical.size() != 0 ? options.typical : Eigen::VectorXd::Ones(initial.size());
  constexpr int kMaxHalvings = 40;

  NonlinearFit fit;
  fit.parameters = initial;
  Eigen::VectorXd r = residuals(initial);
  double sum = sum_of_squares(r);
  for (; fit.iterations <= options.max_iterations; ++fit.iterations) {
    const Eigen::VectorXd size = fit.parameters.cwiseAbs().cwiseMax(typical);
    const absl::StatusOr<Eigen::MatrixXd> slope = jacobian(residuals, fit.parameters, r, size);
    if (!slope.ok()) return slope.status();
    const absl::StatusOr<LinearFit> linear = fit_linear(*slope, -r);
    if (!linear.ok()) return linear.status();
    const Eigen::VectorXd& step = linear->coefficients;

    const bool no_gain = sum - linear->residual_sum_of_squares <= options.tolerance * sum;
    const bool no_move = step.cwiseQuotient(size).lpNorm<Eigen::Infinity>() <= options.tolerance;
    if (no_gain || no_move) {
      fit.standard_errors = linear->standard_errors;
      fit.residual_sum_of_squares = sum;
      fit.degrees_of_freedom = linear->degrees_of_freedom;
      fit.residual_sigma = std::sqrt(sum / fit.degrees_of_freedom);
      return fit;
    }

    double share = 1.0, trial_sum = HUGE_VAL;
    Eigen::VectorXd trial;
    for (int halving = 0; halving <= kMaxHalvings && !(trial_sum < sum); ++halving, share *= 0.5) {
      trial = fit.parameters + share * step;
      const Eigen::VectorXd trial_r = residuals(trial);
      trial_sum = trial_r.size() == r.size() ? sum_of_squares(trial_r) : HUGE_VAL;
      if (trial_sum < sum) r = trial_r;
    }
    if (!(trial_sum < sum)) {
      return absl::FailedPreconditionError(absl::StrCat("no lower sum of squares than ", sum,
                                                        " along the step of iteration ", fit.iterations,
                                                        ": start elsewhere or smooth the residuals"));
    }
    fit.parameters = trial;
    sum = trial_sum;
  }
  return absl::FailedPreconditionError(absl::StrCat("not converged after ", options.max_iterations,
                                                    " iterations, sum of squares ", sum,
                                                    ": start nearer or allow more"));
}

}  // namespace brakeward::math
