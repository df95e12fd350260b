#include "report/svg.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/html_text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;

constexpr int kLeft = 68, kRight = 36, kTop = 14, kBottom = 46;
constexpr double kSlack = 1e-4;     // share of an axis by which a point may lie outside
constexpr double kLargest = 1e15;   // beyond it nothing is drawn
constexpr size_t kMostTitle = 240;  // bytes

std::string number(double x, int decimals) {
  return verdict::format_number(x, decimals);
}

// The least of 1, 2, 5, 10 times a power of ten that is not below `least`, and its power.
std::pair<double, int> round_step(double least) {
  int power = 0;
  double unit = 1;
  for (; unit > least; unit /= 10) --power;
  for (; unit * 10 <= least; unit *= 10) ++power;
  for (const double factor : {1.0, 2.0, 5.0})
    if (factor * unit >= least) return {factor * unit, power};
  return {10 * unit, power + 1};
}

// The baseline's are larger and hollow, so that one of the candidate at the same place shows inside.
std::string shape_of(Marker marker, std::string_view style, std::string_view px, std::string_view py) {
  const bool large = style.find("baseline") != std::string_view::npos;
  if (marker == Marker::kCircle)
    return concat("<circle cx=\"", px, "\" cy=\"", py, "\" r=\"", large ? "5.5" : "3.5", "\"");
  return concat("<path d=\"M", px, " ", py, large ? "m-5-5h10v10h-10z\"" : "m-3-3h6v6h-6z\"");
}

bool inside(const SvgAxis& axis, double v) {
  const double slack = kSlack * (axis.high - axis.low);
  return std::isfinite(v) && v >= axis.low - slack && v <= axis.high + slack;
}

}  // namespace

SvgAxis axis_over(const std::vector<double>& values, std::string label, bool from_zero, int lines) {
  double low = from_zero ? 0 : std::numeric_limits<double>::infinity(), high = from_zero ? 0 : -low;
  for (const double v : values)
    if (std::fabs(v) < kLargest) low = std::min(low, v), high = std::max(high, v);
  if (low > high) low = 0, high = 1;
  constexpr double kLeast = 1e-6;
  const double size = std::max({std::fabs(low), std::fabs(high), 1.0});
  if (high - low < kLeast * size) low -= from_zero ? 0 : 0.5, high += from_zero ? 1 : 0.5;
  const auto [step, power] = round_step((high - low) / lines);
  return {step * std::floor(low / step + kLeast), step * std::ceil(high / step - kLeast), step,
          std::max(0, -power), std::move(label)};
}

Svg::Svg(SvgAxis x, SvgAxis y, int width, int height)
    : x_axis_(std::move(x)), y_axis_(std::move(y)), width_(width), height_(height) {}

std::string Svg::x(double value) const {
  return number(kLeft + (value - x_axis_.low) / (x_axis_.high - x_axis_.low) * (width_ - kLeft - kRight), 1);
}

std::string Svg::y(double value) const {
  return number(
      height_ - kBottom - (value - y_axis_.low) / (y_axis_.high - y_axis_.low) * (height_ - kTop - kBottom),
      1);
}

void Svg::axes(bool with_x) {
  const auto line_at = [](const SvgAxis& axis, int i) { return axis.low + axis.step * i; };
  for (int i = 0; with_x && line_at(x_axis_, i) <= x_axis_.high + 1e-9 * x_axis_.step; ++i) {
    const double at = line_at(x_axis_, i);
    append(text_, "<path class=\"grid\" d=\"M", x(at), " ", y(y_axis_.low), "V", y(y_axis_.high),
           "\"/><text x=\"", x(at), "\" y=\"", height_ - kBottom + 17, "\" class=\"mid\">",
           number(at, x_axis_.decimals), "</text>");
  }
  for (int i = 0; line_at(y_axis_, i) <= y_axis_.high + 1e-9 * y_axis_.step; ++i) {
    const double at = line_at(y_axis_, i);
    append(text_, "<path class=\"grid\" d=\"M", x(x_axis_.low), " ", y(at), "H", x(x_axis_.high),
           "\"/><text x=\"", kLeft - 8, "\" y=\"", y(at), "\" dy=\"0.35em\" class=\"end\">",
           number(at, y_axis_.decimals), "</text>");
  }
  append(text_, "<text x=\"", x((x_axis_.low + x_axis_.high) / 2), "\" y=\"", height_ - 8,
         "\" class=\"mid\">", html(x_axis_.label), "</text><text transform=\"translate(13 ",
         y((y_axis_.low + y_axis_.high) / 2), ") rotate(-90)\" class=\"mid\">", html(y_axis_.label),
         "</text>");
}

void Svg::line(std::string_view style, const std::vector<std::pair<double, double>>& points, Marker marker) {
  std::string path, markers;
  bool drawing = false;
  for (const auto& [px, py] : points) {
    const bool drawn = inside(x_axis_, px) && inside(y_axis_, py);
    if (drawn) append(path, drawing ? "L" : "M", x(px), " ", y(py));
    if (drawn && marker != Marker::kNone) append(markers, shape_of(marker, style, x(px), y(py)), "/>");
    drawing = drawn;
  }
  append(text_, "<path class=\"line ", style, "\" d=\"", path, "\"/>");
  if (!markers.empty()) append(text_, "<g class=\"marker ", style, "\">", markers, "</g>");
}

void Svg::dots(std::string_view style, const std::vector<SvgDot>& dots, Marker marker) {
  append(text_, "<g class=\"marker dot ", style, "\">");
  for (const SvgDot& d : dots) {
    if (!inside(x_axis_, d.x) || !inside(y_axis_, d.y)) continue;
    const std::string shape = shape_of(marker, style, x(d.x), y(d.y));
    append(text_, shape, "><title>", html(d.title, kMostTitle),
           marker == Marker::kCircle ? "</title></circle>" : "</title></path>");
  }
  text_ += "</g>";
}

void Svg::band(double from, double to) {
  append(text_, "<path class=\"band\" d=\"M", x(from), " ", y(y_axis_.low), "H", x(to), "V", y(y_axis_.high),
         "H", x(from), "z\"/>");
}

void Svg::label(double px, double py, std::string_view escaped) {
  append(text_, "<text x=\"", x(px), "\" y=\"", y(py), "\" dx=\"4\" dy=\"-4\" class=\"small\">", escaped,
         "</text>");
}

void Svg::under(double px, std::string_view escaped) {
  append(text_, "<text x=\"", x(px), "\" y=\"", height_ - kBottom + 17, "\" class=\"mid\">", escaped,
         "</text>");
}

std::string Svg::svg(std::string_view title) const {
  return concat("<svg viewBox=\"0 0 ", width_, " ", height_, "\" role=\"img\" aria-label=\"",
                html(title, 2 * kMostTitle), "\">", text_, "</svg>");
}

std::string svg_key(std::string_view style, std::string_view escaped, Marker marker) {
  std::string drawn =
      concat("<svg class=\"key\" viewBox=\"0 0 34 12\" aria-hidden=\"true\"><path class=\"line ", style,
             "\" d=\"M0 6H34\"/>");
  if (marker != Marker::kNone)
    append(drawn, "<g class=\"marker ", style, "\">", shape_of(marker, style, "17", "6"), "/></g>");
  return concat("<li>", drawn, "</svg> ", escaped, "</li>");
}

}  // namespace brakeward::report
