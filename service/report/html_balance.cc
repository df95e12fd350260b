#include <algorithm>
#include <cmath>
#include <functional>

#include "report/html_parts.h"
#include "report/html_text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;

constexpr double kWidth = 560, kHeight = 380, kLeft = 56, kRight = 36, kTop = 14, kBottom = 46;

std::string number(double x, int decimals) {
  return verdict::format_number(x, decimals);
}

// A drawing with two linear axes from 0.
class Drawing {
 public:
  Drawing(double x_end, double y_end) : x_end_(x_end), y_end_(y_end) {}

  std::string x(double value) const { return number(kLeft + value / x_end_ * (kWidth - kLeft - kRight), 1); }
  std::string y(double value) const {
    return number(kHeight - kBottom - value / y_end_ * (kHeight - kTop - kBottom), 1);
  }

  void axes(std::string_view x_label, std::string_view y_label) {
    constexpr double kStep = 0.2;
    for (int i = 0; kStep * i <= x_end_ + 1e-9; ++i)
      append(text_, "<path class=\"grid\" d=\"M", x(kStep * i), " ", y(0), "V", y(y_end_), "\"/><text x=\"",
             x(kStep * i), "\" y=\"", number(kHeight - kBottom + 17, 0), "\" class=\"mid\">",
             number(kStep * i, 1), "</text>");
    for (int i = 0; kStep * i <= y_end_ + 1e-9; ++i)
      append(text_, "<path class=\"grid\" d=\"M", x(0), " ", y(kStep * i), "H", x(x_end_), "\"/><text x=\"",
             number(kLeft - 8, 0), "\" y=\"", y(kStep * i), "\" dy=\"0.35em\" class=\"end\">",
             number(kStep * i, 1), "</text>");
    append(text_, "<text x=\"", x(x_end_ / 2), "\" y=\"", number(kHeight - 8, 0), "\" class=\"mid\">",
           x_label, "</text><text transform=\"translate(15 ", y(y_end_ / 2), ") rotate(-90)\" class=\"mid\">",
           y_label, "</text>");
  }

  // Straight pieces through the points inside the axes.
  void line(std::string_view style, const std::vector<std::pair<double, double>>& points, char marker = 0) {
    std::string path, markers;
    for (const auto& [px, py] : points) {
      if (!std::isfinite(px) || !std::isfinite(py) || px > x_end_ * 1.0001 || py > y_end_ * 1.0001) continue;
      append(path, path.empty() ? "M" : "L", x(px), " ", y(py));
      if (marker == 'o')
        append(markers, "<circle cx=\"", x(px), "\" cy=\"", y(py), "\" r=\"3.5\"/>");
      else if (marker == 's')
        append(markers, "<path d=\"M", x(px), " ", y(py), "m-3.5-3.5h7v7h-7z\"/>");
    }
    append(text_, "<path class=\"line ", style, "\" d=\"", path, "\"/>");
    if (!markers.empty()) append(text_, "<g class=\"marker ", style, "\">", markers, "</g>");
  }

  void label(double px, double py, std::string_view text) {
    append(text_, "<text x=\"", x(px), "\" y=\"", y(py), "\" dx=\"4\" dy=\"-4\" class=\"small\">", text,
           "</text>");
  }

  std::string svg(std::string_view title) const {
    return concat("<svg viewBox=\"0 0 ", static_cast<int>(kWidth), " ", static_cast<int>(kHeight),
                  "\" role=\"img\" aria-label=\"", title, "\">", text_, "</svg>");
  }

 private:
  double x_end_, y_end_;
  std::string text_;
};

using Coordinates = std::vector<std::pair<double, double>>;

Coordinates points_of(const BalanceCurve& curve,
                      const std::function<std::pair<double, double>(const BalancePoint&)>& at) {
  Coordinates out;
  for (const BalancePoint& p : curve.points) out.push_back(at(p));
  return out;
}

std::string_view style_of(size_t i) {
  return i == 0 ? "candidate" : "baseline";
}

std::string distribution(const std::vector<BalanceCurve>& curves) {
  Drawing drawing(1.0, 0.6);
  drawing.axes("front brake force / weight", "rear brake force / weight");
  for (int i = 1; i <= 5; ++i) {
    const double z = 0.2 * i;
    drawing.line("even", {{z > 0.6 ? z - 0.6 : 0, std::min(z, 0.6)}, {z, 0}});
    drawing.label(z - 0.02, 0.02, concat(number(z, 1), " g"));
  }
  Coordinates ideal = points_of(curves.front(), [](const BalancePoint& p) {
    return std::pair{p.deceleration_g * p.ideal_front_share, p.deceleration_g * (1 - p.ideal_front_share)};
  });
  ideal.insert(ideal.begin(), {0, 0});
  drawing.line("ideal", ideal);
  for (size_t i = 0; i < curves.size(); ++i) {
    Coordinates line = points_of(curves[i], [](const BalancePoint& p) {
      return std::pair{p.deceleration_g * p.front_share, p.deceleration_g * (1 - p.front_share)};
    });
    line.insert(line.begin(), {0, 0});
    drawing.line(style_of(i), line);
  }
  return drawing.svg("Brake force of the rear axle over that of the front axle, with the ideal distribution");
}

std::string adhesion(const std::vector<BalanceCurve>& curves) {
  Drawing drawing(1.0, 1.2);
  drawing.axes("deceleration, g", "adhesion used by the axle");
  drawing.line("ideal", {{0, 0}, {1, 1}});
  drawing.line("bound", {{0.1, 0.2}, {0.52, 0.8}});
  for (size_t i = 0; i < curves.size(); ++i) {
    drawing.line(style_of(i),
                 points_of(curves[i],
                           [](const BalancePoint& p) {
                             return std::pair{p.deceleration_g, p.front_adhesion};
                           }),
                 'o');
    drawing.line(style_of(i),
                 points_of(curves[i],
                           [](const BalancePoint& p) {
                             return std::pair{p.deceleration_g, p.rear_adhesion};
                           }),
                 's');
  }
  return drawing.svg("Adhesion used by each axle over deceleration");
}

std::string key(std::string_view style, std::string_view text, char marker = 0) {
  std::string drawn =
      concat("<svg class=\"key\" viewBox=\"0 0 34 12\" aria-hidden=\"true\"><path class=\"line ", style,
             "\" d=\"M0 6H34\"/>");
  if (marker == 'o')
    append(drawn, "<g class=\"marker ", style, "\"><circle cx=\"17\" cy=\"6\" r=\"3.5\"/></g>");
  if (marker == 's') append(drawn, "<g class=\"marker ", style, "\"><path d=\"M13.5 2.5h7v7h-7z\"/></g>");
  return concat("<li>", drawn, "</svg> ", text, "</li>");
}

std::string keys(const std::vector<BalanceCurve>& curves, bool axles) {
  std::string text = "<ul class=\"keys\">";
  for (size_t i = 0; i < curves.size(); ++i) {
    const std::string name = concat(style_of(i), " ", html(curves[i].calibration, 120));
    if (axles)
      append(text, key(style_of(i), name + ", front", 'o'), key(style_of(i), name + ", rear", 's'));
    else
      text += key(style_of(i), name);
  }
  text += axles ? key("ideal", "both axles alike") +
                      key("bound", "bound of UN R13-H Annex 5, z = 0.1 + 0.7 (k - 0.2) (formula from memory)")
                : key("ideal", "ideal: both axles use the same adhesion") + key("even", "equal deceleration");
  return text + "</ul>";
}

std::string reading(const BalanceCurve& c, size_t i) {
  std::string text = concat("<p>", i == 0 ? "Candidate " : "Baseline ", html(c.calibration, 120));
  if (!c.step.empty()) append(text, ", step ", html(c.step, 120));
  return concat(text, ": the rear axle ",
                c.rear_above_front_from_g > 0 ? concat("uses more adhesion than the front from <strong>",
                                                       number(c.rear_above_front_from_g, 2), " g</strong>")
                                              : std::string("uses no more adhesion than the front"),
                " between 0.15 and 0.80 g.</p>\n");
}

std::string finite(double x, int decimals) {
  return std::isfinite(x) ? number(x, decimals) : "lifted";
}

std::string table(const std::vector<BalanceCurve>& curves) {
  std::string text =
      "<details><summary>The numbers</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" "
      "aria-label=\"Distribution and adhesion\"><table><thead><tr><th scope=\"col\" class=\"n\">g</th>"
      "<th scope=\"col\" class=\"n\">ideal front share</th>";
  for (size_t i = 0; i < curves.size(); ++i)
    for (const char* column : {"front share", "front adhesion", "rear adhesion"})
      append(text, "<th scope=\"col\" class=\"n\">", style_of(i), ", ", std::string_view(column), "</th>");
  text += "</tr></thead><tbody>\n";
  for (size_t k = 0; k < curves.front().points.size(); ++k) {
    const BalancePoint& first = curves.front().points[k];
    append(text, "<tr><th scope=\"row\" class=\"n\">", number(first.deceleration_g, 1),
           "</th><td class=\"n\">", number(first.ideal_front_share, 3), "</td>");
    for (const BalanceCurve& c : curves) {
      if (k >= c.points.size()) continue;
      const BalancePoint& p = c.points[k];
      append(text, "<td class=\"n\">", number(p.front_share, 3), "</td><td class=\"n\">",
             finite(p.front_adhesion, 3), "</td><td class=\"n\">", finite(p.rear_adhesion, 3), "</td>");
    }
    text += "</tr>\n";
  }
  return text + "</tbody></table></div></details>\n";
}

}  // namespace

std::string balance_section(const HtmlExtras& extras) {
  const std::vector<BalanceCurve>& curves = extras.balance;
  std::string text = "<section id=\"balance\"><h2>Balance of the axles</h2>\n";
  if (curves.empty() || curves.front().points.empty())
    return concat(text, "<p class=\"note\">Not drawn: ",
                  extras.why_no_balance.empty() ? "the run does not hold it" : html(extras.why_no_balance),
                  ".</p></section>\n");
  text +=
      "<p class=\"note\">A steady stop on a level road by the brakes alone, no cargo, no air, in the step "
      "each "
      "calibration selects.</p>\n";
  for (size_t i = 0; i < curves.size(); ++i) text += reading(curves[i], i);
  return concat(text, "<div class=\"pair\"><figure><figcaption>Distribution of brake force</figcaption>",
                distribution(curves), keys(curves, false),
                "</figure><figure><figcaption>Adhesion utilization</figcaption>", adhesion(curves),
                keys(curves, true), "</figure></div>\n", table(curves), "</section>\n");
}

}  // namespace brakeward::report
