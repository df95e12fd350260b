// Piecewise linear curves, held constant outside their points: what kernels read (over any scalar) and how
// one is made from points. Kernels and their parameters include curve_data.h instead: this header brings
// static initialisers of the standard library along, which must not be built for more than x86-64.
#pragma once

#include <span>

#include "absl/status/statusor.h"
#include "math/curve_data.h"

namespace brakeward::math {

// A curve through the points (x[i], y[i]): 1 to 16 of them, finite, x strictly rising. *segments becomes
// the number of points less one; segments beyond it are zero, so that evaluating them as well changes
// nothing (lanes of one batch may have different numbers of points). The error text lists every fault by
// position and value; the caller knows the document and the units.
absl::StatusOr<Curve<double>> make_curve(std::span<const double> x, std::span<const double> y, int* segments);

// The curve's value at x, with the bits a kernel gets. Exactly y[0] at and before the first point; at the
// others y[i] up to rounding. NaN gives NaN (a curve of one point is the same everywhere).
double value(const Curve<double>& curve, int segments, double x);

}  // namespace brakeward::math
