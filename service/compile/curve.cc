#include "compile/curve.h"

#include <algorithm>
#include <vector>

#include "math/check.h"

namespace brakeward::compile {

math::Curve<double> engine_curve(const v1::Curve& curve, double x_unit, double y_unit, double otherwise,
                                 int* segments) {
  std::vector<double> x, y;
  for (const v1::CurvePoint& p : curve.points()) {
    x.push_back(p.x() * x_unit);
    y.push_back(p.y() * y_unit);
  }
  if (x.empty()) {
    x.push_back(0);
    y.push_back(otherwise);
  }
  int used = 0;
  auto made = math::make_curve(x, y, &used);
  math::check(made.ok(), "a checked curve was refused");
  *segments = std::max(*segments, used);
  return *made;
}

}  // namespace brakeward::compile
