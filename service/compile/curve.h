// Curve documents to engine curves.
#pragma once

#include "brakeward/v1/common.pb.h"
#include "math/curve.h"

namespace brakeward::compile {

// A checked curve with its axes scaled to SI; an empty curve is the constant `otherwise`. Raises *segments
// where this curve has more.
math::Curve<double> engine_curve(const v1::Curve& curve, double x_unit, double y_unit, double otherwise,
                                 int* segments);

}  // namespace brakeward::compile
