#include <algorithm>
#include <cmath>
#include <limits>

#include "report/drift.h"
#include "report/drift_rows.h"
#include "report/html_assets.h"
#include "report/html_page.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/order.h"
#include "report/svg.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::Drift;
using verdict::DriftSeries;
using verdict::DriftStep;

constexpr size_t kMostDrawn = 30;
constexpr size_t kMostDrawnBytes = 900000;
constexpr size_t kMostRowBytes = 900000;
constexpr int kWidth = 430, kHeight = 300;
constexpr double kPercent = 100;

std::string banner(const Drift& d) {
  return concat("<header class=\"banner ", word(d.verdict),
                "\">\n<p class=\"kind\">Drift over a season</p>\n<h1>", badge(d.verdict), " ",
                html(d.season, 240), "</h1>\n<p class=\"against\">car ", html(d.vehicle_name, 240),
                ", library ", html(d.library_name, 240), ", numerics version ", d.numerics_version,
                "</p>\n<p class=\"tally\">", drift_tally(d), "</p>\n", caution_box(), "</header>\n");
}

std::string navigation() {
  return "<nav aria-label=\"Sections\"><a href=\"#builds\">Event builds</a> <a href=\"#drawn\">Drift</a> "
         "<a href=\"#all\">All measures</a><button type=\"button\" id=\"scheme\" "
         "hidden>Dark</button></nav>\n<main>\n";
}

std::string builds_section(const Drift& d) {
  std::string text =
      "<section id=\"builds\"><h2>Event builds</h2>\n<p class=\"note\">All replayed anew under one car, "
      "library and numerics.</p>\n<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Event "
      "builds\"><table><thead><tr><th scope=\"col\" class=\"n\">number</th><th scope=\"col\">build</th><th "
      "scope=\"col\">held on</th><th scope=\"col\">calibration</th><th scope=\"col\">hash</th></tr></thead>"
      "<tbody>\n";
  for (size_t i = 0; i < d.builds.size(); ++i) {
    const verdict::DriftBuild& b = d.builds[i];
    append(text, "<tr><td class=\"n\">", i + 1, "</td><th scope=\"row\">", html(b.name, 240), "</th><td>",
           html(b.held_on, 120), "</td><td>", html(b.calibration_name, 240),
           "</td><td><code title=\"SHA-256 ", html(b.calibration_sha256, 120), "\">",
           html(b.calibration_sha256.substr(0, kHashDigits)), "</code></td></tr>\n");
  }
  return text + "</tbody></table></div></section>\n";
}

double drawn(const std::optional<double>& x, double factor) {
  return x && std::fabs(*x) < verdict::kNothingAllowed ? factor * *x
                                                       : std::numeric_limits<double>::quiet_NaN();
}

// One point a build, which its text names.
struct Points {
  std::vector<std::pair<double, double>> line;
  std::vector<SvgDot> dots;
  std::vector<double> values;
};

Points points_of(const Drift& d, const DriftSeries& s, const auto& value, const auto& words) {
  Points out;
  for (size_t i = 0; i < std::min(s.steps.size(), d.builds.size()); ++i) {
    const double number = static_cast<double>(i + 1), y = value(s.steps[i]);
    out.line.emplace_back(number, y);
    out.values.push_back(y);
    out.dots.push_back({number, y, concat(d.builds[i].name, ": ", words(s.steps[i]))});
  }
  return out;
}

double end_of(const Drift& d) {
  return static_cast<double>(d.builds.size()) + 0.5;
}

Svg drawing_over_builds(const Drift& d, SvgAxis y) {
  constexpr size_t kMostNumbers = 16;
  Svg drawing({0.5, end_of(d), 1, 0, "event build"}, std::move(y), kWidth, kHeight);
  drawing.axes(false);
  const size_t every = 1 + d.builds.size() / kMostNumbers;
  for (size_t i = 0; i < d.builds.size(); i += every)
    drawing.under(static_cast<double>(i + 1), std::to_string(i + 1));
  return drawing;
}

std::string value_words(const DriftSeries& s, const std::optional<double>& value) {
  const MeasureForm form = form_of(s.measure);
  return value ? verdict::with_unit(verdict::format_number(*value, form.decimals), form.unit)
               : std::string("no value");
}

std::string percent(const std::optional<double>& share) {
  return share && std::fabs(*share) < verdict::kNothingAllowed
             ? concat(verdict::format_signed(kPercent * *share, 0), " %")
             : std::string("none");
}

std::string drawing_of(const Drift& d, const DriftSeries& s) {
  const auto told = [&](const DriftStep& step) {
    return concat(value_words(s, step.value), ", step ", percent(step.step), ", sum ", percent(step.sum));
  };
  const Points sums = points_of(
      d, s, [](const DriftStep& step) { return drawn(step.sum, kPercent); }, told);
  const Points steps = points_of(
      d, s, [](const DriftStep& step) { return drawn(step.step, kPercent); }, told);
  const double allowed = kPercent * drift_in_tolerances(s);
  std::vector<double> values = sums.values;
  values.insert(values.end(), steps.values.begin(), steps.values.end());
  values.push_back(allowed);
  if (s.two_sided) values.push_back(-allowed);
  Svg drawing = drawing_over_builds(d, axis_over(values, "% of the tolerance", true));
  drawing.line("bound", {{0.5, allowed}, {end_of(d), allowed}});
  if (s.two_sided) drawing.line("bound", {{0.5, -allowed}, {end_of(d), -allowed}});
  for (const auto& [x, y] : steps.line)
    if (std::isfinite(y)) drawing.line("baseline stem", {{x, 0}, {x, y}});
  drawing.line("candidate", sums.line);
  drawing.dots("candidate", sums.dots, Marker::kCircle);
  drawing.dots("baseline", steps.dots, Marker::kSquare);
  return drawing.svg(concat("Steps from build to build of ", s.measure, " of ", s.scenario,
                            ", their sum, and the allowed drift"));
}

std::string entry_of(const Drift& d, const DriftSeries& s) {
  std::string text =
      concat("<div><h3>", badge(s.verdict), " ", html(s.scenario, 240),
             s.measure.empty() ? "" : concat(" <code>", html(s.measure, 240), "</code>"), "</h3>\n");
  if (!s.measure.empty() && !s.steps.empty())
    append(text, "<figure><figcaption>From ", value_words(s, s.steps.front().value), " to ",
           value_words(s, s.steps.back().value), "</figcaption>", drawing_of(d, s), "</figure>");
  if (!s.reason.empty()) append(text, "<p class=\"note why\">", html(s.reason), "</p>\n");
  return text + "</div>\n";
}

std::string drawn_section(const Drift& d, const std::vector<const DriftSeries*>& series) {
  std::vector<std::string> entries;
  size_t wanted = 0;
  for (const DriftSeries* s : series)
    if (is_shown(*s) && ++wanted <= kMostDrawn) entries.push_back(entry_of(d, *s));
  std::string text = "<section id=\"drawn\"><h2>Beyond the allowed drift and nearest to it</h2>\n";
  if (entries.empty())
    return text + "<p>Every measure used less than half of its drift tolerance.</p></section>\n";
  append(text, "<p class=\"note\">", kDriftLegend, "</p>\n<ul class=\"keys\">",
         svg_key("candidate", "sum of the steps", Marker::kCircle),
         svg_key("dot baseline", "step: the change from the build before", Marker::kSquare),
         svg_key("bound", "allowed drift"), "</ul>\n<div class=\"trio\">\n",
         fitting(entries, "measure", kMostDrawnBytes), "</div>\n");
  if (wanted > entries.size())
    append(text, "<p class=\"note\">And ", wanted - entries.size(),
           " more, none graver; the table below has them.</p>\n");
  return text + "</section>\n";
}

std::string row_of(const DriftSeries& s, size_t builds) {
  const std::vector<std::string> cells = drift_cells(s, builds);
  std::string text = concat("<tr><td>", badge(s.verdict), "</td><th scope=\"row\">", html(cells[0], 240),
                            "</th><td><code>", html(cells[1], 240), "</code></td>");
  for (size_t i = 2; i + 1 < cells.size(); ++i)
    append(text, "<td class=\"n\">", html(cells[i], 240), "</td>");
  return text + "</tr>\n";
}

std::string all_section(const Drift& d, const std::vector<const DriftSeries*>& series) {
  std::string text =
      "<section id=\"all\"><h2>All measures</h2>\n<div class=\"wide\" tabindex=\"0\" role=\"group\" "
      "aria-label=\"All measures\"><table><thead><tr><th scope=\"col\">verdict</th>";
  const std::vector<std::string> heads = drift_heads(d);
  for (size_t i = 0; i + 1 < heads.size(); ++i)
    append(text, "<th scope=\"col\"", i < 2 ? ">" : " class=\"n\">", html(heads[i], 240), "</th>");
  text += "</tr></thead><tbody>\n";
  size_t count = 0;
  for (; count < series.size() && text.size() < kMostRowBytes; ++count)
    text += row_of(*series[count], d.builds.size());
  text += "</tbody></table></div>\n";
  if (count < series.size())
    append(text, "<p class=\"note\">And ", series.size() - count,
           " more, none graver; the JSON has them all.</p>\n");
  return text + "</section>\n";
}

}  // namespace

std::string render_drift_html(const Drift& drift) {
  const std::vector<const DriftSeries*> series = ordered_series(drift);
  const std::string title =
      concat(html(drift.season, 120), ": ", word(drift.verdict), ", drift over a season");
  return concat(page_head(title, kReportStyle, kSchemeScript), banner(drift), navigation(),
                builds_section(drift), drawn_section(drift, series), all_section(drift, series),
                page_foot(kSchemeScript));
}

}  // namespace brakeward::report
