#include <algorithm>
#include <cmath>
#include <functional>

#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/svg.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;

std::string number(double x, int decimals) {
  return verdict::format_number(x, decimals);
}

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
  Svg drawing({0, 1, 0.2, 1, "front brake force / weight"}, {0, 0.6, 0.2, 1, "rear brake force / weight"});
  drawing.axes();
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
  Svg drawing({0, 1, 0.2, 1, "deceleration, g"}, {0, 1.2, 0.2, 1, "adhesion used by the axle"});
  drawing.axes();
  drawing.line("ideal", {{0, 0}, {1, 1}});
  drawing.line("bound", {{0.1, 0.2}, {0.52, 0.8}});
  for (size_t i = 0; i < curves.size(); ++i) {
    drawing.line(style_of(i),
                 points_of(curves[i],
                           [](const BalancePoint& p) {
                             return std::pair{p.deceleration_g, p.front_adhesion};
                           }),
                 Marker::kCircle);
    drawing.line(style_of(i),
                 points_of(curves[i],
                           [](const BalancePoint& p) {
                             return std::pair{p.deceleration_g, p.rear_adhesion};
                           }),
                 Marker::kSquare);
  }
  return drawing.svg("Adhesion used by each axle over deceleration");
}

std::string keys(const std::vector<BalanceCurve>& curves, bool axles) {
  std::string text = "<ul class=\"keys\">";
  for (size_t i = 0; i < curves.size(); ++i) {
    const std::string name = concat(style_of(i), " ", html(curves[i].calibration, 120));
    if (axles)
      append(text, svg_key(style_of(i), name + ", front", Marker::kCircle),
             svg_key(style_of(i), name + ", rear", Marker::kSquare));
    else
      text += svg_key(style_of(i), name);
  }
  text +=
      axles ? svg_key("ideal", "both axles alike") +
                  svg_key("bound", "bound of UN R13-H Annex 5, z = 0.1 + 0.7 (k - 0.2) (formula from memory)")
            : svg_key("ideal", "ideal: both axles use the same adhesion") +
                  svg_key("even", "equal deceleration");
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
