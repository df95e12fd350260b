// Small drawings with two linear axes. Internal to the room.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace brakeward::report {

// From `low` to `high` with a line at every multiple of `step`.
struct SvgAxis {
  double low = 0;
  double high = 1;
  double step = 0.2;
  int decimals = 1;  // of the numbers beside it
  std::string label;
};

// About `lines` round steps, 1, 2 or 5 times a power of ten, that hold all values, zero too where asked for;
// what is not finite or beyond 1e15 is left out.
SvgAxis axis_over(const std::vector<double>& values, std::string label, bool from_zero, int lines = 5);

enum class Marker { kNone, kCircle, kSquare };

// A point with the text that is told when it is pointed at; not yet escaped.
struct SvgDot {
  double x = 0, y = 0;
  std::string title;
};

class Svg {
 public:
  Svg(SvgAxis x, SvgAxis y, int width = 560, int height = 380);

  // Lines and numbers of the axes; of the horizontal one only where it has numbers to tell.
  void axes(bool with_x = true);
  // Straight pieces through the points inside the axes, broken at those that are not finite.
  void line(std::string_view style, const std::vector<std::pair<double, double>>& points,
            Marker marker = Marker::kNone);
  // Those inside the axes.
  void dots(std::string_view style, const std::vector<SvgDot>& dots, Marker marker);
  // From top to bottom, behind what follows.
  void band(double from, double to);
  // Small, right above the point.
  void label(double px, double py, std::string_view escaped);
  // Under the horizontal axis.
  void under(double px, std::string_view escaped);

  // `title` says what is drawn; it is escaped here.
  std::string svg(std::string_view title) const;

 private:
  std::string x(double value) const;
  std::string y(double value) const;

  SvgAxis x_axis_, y_axis_;
  int width_, height_;
  std::string text_;
};

// A line of a legend: a piece of line, a marker, a text that is already escaped.
std::string svg_key(std::string_view style, std::string_view escaped, Marker marker = Marker::kNone);

}  // namespace brakeward::report
