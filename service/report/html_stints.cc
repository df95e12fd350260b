#include <algorithm>
#include <cmath>

#include "report/figure_ticks.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/stint.h"
#include "report/svg.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::StintPart;
using verdict::StintResult;

constexpr size_t kMostLaps = 100;
constexpr size_t kMostMarks = 300;  // drawn of a stint, about
constexpr size_t kMostBytes = 600000;
constexpr int kWidth = 430, kHeight = 320;

// Temperatures of a part that share a drawing.
struct Temperature {
  double StintPart::*of;
  std::string_view words;
  Marker marker;
};
struct Place {
  std::string_view title;
  std::vector<Temperature> lines;
};
const std::vector<Place>& places() {
  static const std::vector<Place> all = {
      {"Discs",
       {{&StintPart::front_disc_celsius, "front", Marker::kCircle},
        {&StintPart::rear_disc_celsius, "rear", Marker::kSquare}}},
      {"Fluid", {{&StintPart::fluid_celsius, "", Marker::kCircle}}},
      {"Actuator windings", {{&StintPart::actuator_celsius, "", Marker::kCircle}}},
  };
  return all;
}

// Where along the laps each part stands: those of lap 3 evenly between 2.5 and 3.5.
std::vector<double> laps_along(const StintResult& stint) {
  std::vector<double> out;
  const auto& parts = stint.parts;
  for (size_t begin = 0; begin < parts.size();) {
    size_t end = begin;
    while (end < parts.size() && parts[end].lap == parts[begin].lap) ++end;
    for (size_t i = begin; i < end; ++i)
      out.push_back(parts[i].lap - 0.5 +
                    (static_cast<double>(i - begin) + 0.5) / static_cast<double>(end - begin));
    begin = end;
  }
  return out;
}

// Parts that are drawn: of many those that tell most, and all that are compared.
std::vector<size_t> drawn_parts(const StintResult& stint) {
  std::vector<std::vector<double>> series;
  for (const Place& place : places())
    for (const Temperature& t : place.lines) {
      series.emplace_back();
      for (const StintPart& p : stint.parts) series.back().push_back(p.*t.of);
    }
  std::vector<size_t> out = telling_ticks(series, kMostMarks);
  for (size_t i = 0; i < stint.parts.size(); ++i)
    if (stint.parts[i].compared) out.push_back(i);
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

// What all drawings of a stint share.
struct DrawnStint {
  const StintResult& candidate;
  const StintResult* baseline;  // null for none
  std::vector<double> along;    // of every part
  std::vector<size_t> parts;    // that are drawn
};

// The same parts under the baseline's calibration; null where there is none.
const StintResult* matching(const StintResult& stint, const verdict::ScenarioResult* there) {
  if (there == nullptr || !there->stint || there->stint->parts.size() != stint.parts.size()) return nullptr;
  return &*there->stint;
}

void shade_slow_laps(const StintResult& stint, Svg& drawing) {
  for (const verdict::StintLap& lap : stint.laps)
    if (!lap.at_pace) drawing.band(lap.lap - 0.5, lap.lap + 0.5);
}

std::string drawing_of(const std::string& scenario, const DrawnStint& drawn, const Place& place) {
  const StintResult& stint = drawn.candidate;
  const StintResult* baseline = drawn.baseline;
  std::vector<double> values;
  for (const StintResult* s : {&stint, baseline})
    for (const Temperature& t : place.lines)
      for (const size_t i : drawn.parts)
        if (s != nullptr) values.push_back(s->parts[i].*t.of);
  SvgAxis laps = axis_over({static_cast<double>(stint.parts.back().lap)}, "lap", true);
  laps.high = stint.parts.back().lap + 0.5;
  Svg drawing(std::move(laps), axis_over(values, "degC", true), kWidth, kHeight);
  shade_slow_laps(stint, drawing);
  drawing.axes();
  const auto add = [&](const StintResult& s, const char* style, const Temperature& t) {
    std::vector<std::pair<double, double>> points;
    std::vector<SvgDot> compared;
    for (const size_t i : drawn.parts) {
      const StintPart& p = s.parts[i];
      points.emplace_back(drawn.along[i], p.*t.of);
      if (p.compared)
        compared.push_back({drawn.along[i], p.*t.of,
                            concat(p.scenario, ", lap ", p.lap, ", ", style, t.words.empty() ? "" : ", ",
                                   t.words, ": ", verdict::format_number(p.*t.of, 0), " degC")});
    }
    drawing.line(t.marker == Marker::kSquare ? concat(style, " right") : std::string(style), points);
    drawing.dots(style, compared, t.marker);
  };
  for (const Temperature& t : place.lines) {
    add(stint, "candidate", t);
    if (baseline != nullptr) add(*baseline, "baseline", t);
  }
  return drawing.svg(concat(place.title, ", greatest temperature of every part of every lap of ", scenario,
                            baseline != nullptr ? ", candidate and baseline" : "",
                            "; the table below has the laps"));
}

std::string keys_of(const verdict::Run& run, bool with_baseline) {
  std::string text = "<ul class=\"keys\">";
  const auto add = [&](std::string_view style, const std::string& name) {
    append(text,
           svg_key(style, concat(name, ", front discs; the hottest fluid and winding"), Marker::kCircle),
           svg_key(concat(style, " right"), concat(name, ", rear discs"), Marker::kSquare));
  };
  add("candidate", candidate_words(run));
  if (with_baseline) add("baseline", baseline_words(run));
  return text +
         "<li>Marks: parts of the first and the last lap that are driven alike. Shaded: slow laps.</li></ul>";
}

std::string drawings_of(const verdict::Run& run, const std::string& scenario, const StintResult& stint,
                        const StintResult* baseline) {
  if (stint.parts.empty()) return "";
  const DrawnStint drawn{stint, baseline, laps_along(stint), drawn_parts(stint)};
  std::string text = "<div class=\"trio\">";
  for (const Place& place : places())
    append(text, "<figure><figcaption>", place.title, ", degC</figcaption>",
           drawing_of(scenario, drawn, place), "</figure>");
  return concat(text, "</div>", keys_of(run, baseline != nullptr));
}

std::string number_cell(const std::string& text) {
  return concat("<td class=\"n\">", text, "</td>");
}

std::string told(const std::optional<double>& value, int decimals) {
  return value ? verdict::format_number(*value, decimals) : "-";
}

// By how many percent the second is more than the first.
std::string percent_change(const std::optional<double>& first, const std::optional<double>& last) {
  if (!first || !last || *first == 0) return "-";
  return concat(verdict::format_signed(100 * (*last / *first - 1), 1), " %");
}

std::string part_row(const StintPart& p, std::string_view which) {
  std::string row =
      concat("<tr><th scope=\"row\">", html(p.scenario, 240), "</th><td>", which, ", lap ", p.lap, "</td>",
             number_cell(told(p.distance_m, 2)), number_cell(told(p.deceleration_mps2, 2)));
  for (const Place& place : places())
    for (const Temperature& t : place.lines) row += number_cell(verdict::format_number(p.*t.of, 0));
  return row + "</tr>\n";
}

std::string change_row(const StintPart& first, const StintPart& last) {
  std::string row = concat("<tr><th scope=\"row\">", html(first.scenario, 240), "</th><td>change</td>",
                           number_cell(percent_change(first.distance_m, last.distance_m)),
                           number_cell(percent_change(first.deceleration_mps2, last.deceleration_mps2)));
  for (const Place& place : places())
    for (const Temperature& t : place.lines)
      row += number_cell(concat(verdict::format_signed(last.*t.of - first.*t.of, 0), " K"));
  return row + "</tr>\n";
}

// The parts of the first and of the last lap that are driven alike.
std::string first_and_last(const std::string& scenario, const StintResult& stint) {
  std::vector<const StintPart*> first, last;
  for (const StintPart& p : stint.parts) {
    if (!p.compared) continue;
    (first.empty() || first.front()->lap == p.lap ? first : last).push_back(&p);
  }
  if (first.empty() || first.size() != last.size() || first.size() > kMostLaps) return "";
  std::string text = concat(
      "<h4>First and last lap that are driven alike</h4><div class=\"wide\" "
      "tabindex=\"0\" role=\"group\" aria-label=\"First and last lap of ",
      html(scenario, 240),
      "\"><table class=\"ends\"><thead><tr><th scope=\"col\">part</th>"
      "<th scope=\"col\">of</th>");
  for (const char* head :
       {"stop m", "deceleration m/s^2", "front disc degC", "rear disc degC", "fluid degC", "actuator degC"})
    append(text, "<th scope=\"col\" class=\"n\">", std::string_view(head), "</th>");
  text += "</tr></thead><tbody>\n";
  for (size_t i = 0; i < first.size(); ++i)
    append(text, part_row(*first[i], "first"), part_row(*last[i], "last"), change_row(*first[i], *last[i]));
  return text + "</tbody></table></div>\n";
}

std::string entry_of(const verdict::Run& run, const HtmlExtras& extras, const verdict::ScenarioResult& s,
                     const StintResult& stint) {
  const StintResult* baseline = matching(stint, under_baseline(extras, s.scenario));
  std::string text =
      concat("<h3>", link_to(run, s), " ", badge(s.verdict), ", ", stint.laps.size(), " laps</h3>\n",
             drawings_of(run, s.scenario, stint, baseline), first_and_last(s.scenario, stint),
             "<h4>Laps</h4><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Laps of ",
             html(s.scenario, 240), "\"><table><thead><tr>");
  for (size_t i = 0; i < kStintCells; ++i)
    append(text, "<th scope=\"col\"", is_stint_text(i) ? ">" : " class=\"n\">", kStintHeads[i], "</th>");
  text += "</tr></thead><tbody>\n";
  for (const auto& row : stint_rows(stint, kMostLaps)) {
    text += "<tr>";
    for (size_t i = 0; i < row.size(); ++i)
      append(text, is_stint_text(i) ? "<td>" : "<td class=\"n\">", html(row[i]), "</td>");
    text += "</tr>\n";
  }
  return text + "</tbody></table></div>\n";
}

}  // namespace

std::string stints_section(const verdict::Run& run, const HtmlExtras& extras) {
  std::vector<std::string> entries;
  for (const auto* s : stints_of(run))
    if (s->stint) entries.push_back(entry_of(run, extras, *s, *s->stint));
  if (entries.empty()) return "";
  return concat("<section id=\"stints\"><h2>Stints</h2>\n", fitting(entries, "stint", kMostBytes),
                "<p><small>", html(stint_legend()), without_baseline(extras), "</small></p></section>\n");
}

std::string build_sheet_section(const verdict::Run& run) {
  if (run.build_sheet.empty()) return "";
  std::string text = "<section id=\"build-sheet\"><h2>Build sheet</h2>\n<dl>\n";
  for (const verdict::BuildSheetLine& line : run.build_sheet)
    append(text, "<dt>", html(line.field), "</dt><dd>", html(line.value), "</dd>\n");
  text += "</dl>\n";
  if (run.build_sheet_differences.empty()) return text + "</section>\n";
  text += "<p>Recordings were made with something else fitted:</p><ul class=\"plain\">\n";
  for (const verdict::BuildSheetDifference& d : run.build_sheet_differences)
    append(text, "<li>", sentence_of(d, [](const std::string& x) { return std::string(html(x)); }),
           "</li>\n");
  return text + "</ul></section>\n";
}

}  // namespace brakeward::report
