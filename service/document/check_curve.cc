#include "absl/strings/str_cat.h"
#include "document/address.h"
#include "document/checker.h"

namespace brakeward::document {

namespace {

constexpr int kMostPoints = 16;
// Of x, in its unit. Closer points would be one after conversion to SI, or have a slope beyond all numbers.
constexpr double kLeastStep = 1e-6;

// True when the coordinate is set and good.
bool check_coordinate(bool is_set, double value, const char* axis, const v1::Quantity& quantity,
                      const Address& point, const std::string& meaning, FaultSink* sink) {
  const Address address = child_of(point, axis);
  if (!is_set) {
    sink->add_missing(address, absl::StrCat("is missing; every point has x and y: set it to a value from ",
                                            range_text(quantity), ". (", meaning, ")"));
    return false;
  }
  std::string fault = number_fault(value, quantity, meaning);
  if (fault.empty()) return true;
  sink->add(address, std::move(fault));
  return false;
}

void check_x_order(double before, double x, const std::string& unit, const Address& point, FaultSink* sink) {
  if (x - before >= kLeastStep) return;
  if (x > before) {
    sink->add(child_of(point, "x"),
              absl::StrCat("x rises by less than ", with_unit(kLeastStep, unit), " from ",
                           with_unit(before, unit), "; move the points apart or drop one of them."));
    return;
  }
  sink->add(child_of(point, "x"),
            absl::StrCat("x must rise from point to point, but ", with_unit(x, unit), " follows ",
                         with_unit(before, unit), "; order the points by x and give each x once."));
}

void check_y_order(double before, double y, const v1::CurveAxes& axes, const Address& point,
                   FaultSink* sink) {
  const bool falls = axes.monotonicity() == v1::MONOTONICITY_NON_DECREASING && y < before;
  const bool rises = axes.monotonicity() == v1::MONOTONICITY_NON_INCREASING && y > before;
  if (!falls && !rises) return;
  const std::string& unit = axes.y().unit();
  sink->add(
      child_of(point, "y"),
      absl::StrCat("y must not ", falls ? "fall" : "rise", " along this curve, but ", with_unit(y, unit),
                   " follows ", with_unit(before, unit), "; use ", with_unit(before, unit),
                   falls ? " or more" : " or less", ", or correct the point before. (", axes.meaning(), ")"));
}

}  // namespace

void check_curve(const v1::Curve& curve, const v1::CurveAxes& axes, const Address& address, FaultSink* sink) {
  const Address points = child_of(address, "points");
  if (curve.points_size() == 0) {
    sink->add_missing(
        points, absl::StrCat("the curve has no points; give 1 to ", kMostPoints, ", x in ", axes.x().unit(),
                             ", y in ", axes.y().unit(), ". (", axes.meaning(), ")"));
  }
  if (curve.points_size() > kMostPoints) {
    sink->add(points,
              absl::StrCat("the curve has ", curve.points_size(), " points; give 1 to ", kMostPoints, "."));
  }
  // Only good coordinates are held against each other: one slip should not read as three.
  bool x_before = false;
  bool y_before = false;
  for (int i = 0; i < curve.points_size(); ++i) {
    const v1::CurvePoint& point = curve.points(i);
    const Address at{points.shown + position_label(i), points.path + position_label(i)};
    const bool x_good = check_coordinate(point.has_x(), point.x(), "x", axes.x(), at, axes.meaning(), sink);
    const bool y_good = check_coordinate(point.has_y(), point.y(), "y", axes.y(), at, axes.meaning(), sink);
    if (x_good && x_before) check_x_order(curve.points(i - 1).x(), point.x(), axes.x().unit(), at, sink);
    if (y_good && y_before) check_y_order(curve.points(i - 1).y(), point.y(), axes, at, sink);
    x_before = x_good;
    y_before = y_good;
  }
}

}  // namespace brakeward::document
