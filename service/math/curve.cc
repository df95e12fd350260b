#define BRAKEWARD_ISA isa_base
#include "math/curve.h"

#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "math/curve.inl.h"

namespace brakeward::math {
namespace {

std::vector<std::string> faults_in(std::span<const double> x, std::span<const double> y) {
  std::vector<std::string> faults;
  if (x.size() != y.size()) {
    faults.push_back(absl::StrCat(x.size(), " x values but ", y.size(), " y values: give one y for each x"));
  }
  if (x.empty() || x.size() > kMaxCurveSegments + 1) {
    faults.push_back(absl::StrCat(x.size(), " points: give 1 to ", kMaxCurveSegments + 1));
  }
  for (size_t i = 0; i < x.size(); ++i) {
    if (!std::isfinite(x[i]))
      faults.push_back(absl::StrCat("x[", i, "] is ", x[i], ": give a finite number"));
    if (i > 0 && x[i] <= x[i - 1]) {
      faults.push_back(absl::StrCat("x[", i, "] is ", x[i], ", not above x[", i - 1, "], ", x[i - 1],
                                    ": order the points by strictly rising x"));
    }
  }
  for (size_t i = 0; i < y.size(); ++i) {
    if (!std::isfinite(y[i]))
      faults.push_back(absl::StrCat("y[", i, "] is ", y[i], ": give a finite number"));
  }
  return faults;
}

}  // namespace

absl::StatusOr<Curve<double>> make_curve(std::span<const double> x, std::span<const double> y,
                                         int* segments) {
  std::vector<std::string> faults = faults_in(x, y);
  Curve<double> curve{};
  if (faults.empty()) {
    curve.y0 = y[0];
    for (size_t i = 0; i + 1 < x.size(); ++i) {
      curve.x[i] = x[i];
      curve.width[i] = x[i + 1] - x[i];
      curve.slope[i] = (y[i + 1] - y[i]) / curve.width[i];
      if (!std::isfinite(curve.width[i]) || !std::isfinite(curve.slope[i])) {
        faults.push_back(absl::StrCat("points ", i, " and ", i + 1,
                                      " are too far apart or too close in x for a",
                                      " finite slope: move them"));
      }
    }
  }
  if (!faults.empty()) return absl::InvalidArgumentError(absl::StrJoin(faults, "; "));
  *segments = static_cast<int>(x.size()) - 1;
  return curve;
}

double value(const Curve<double>& curve, int segments, double x) {
  return evaluate(curve, segments, x);
}

}  // namespace brakeward::math
