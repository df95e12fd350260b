#include <algorithm>
#include <cmath>
#include <limits>

#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/order.h"
#include "report/svg.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::FeelPoint;
using verdict::FeelResult;

constexpr size_t kMostBytes = 300000;
constexpr size_t kMostLevels = 100;

double value_of(const std::optional<double>& x) {
  return x ? *x : std::numeric_limits<double>::quiet_NaN();
}

std::string_view control_words(const FeelResult& feel) {
  return feel.control == "pedal" ? "Pedal" : "Hand control";
}

int decimals_of(const FeelResult& feel) {
  return feel.unit == "N" ? 1 : 2;
}

using Coordinates = std::vector<std::pair<double, double>>;

Coordinates curve_of(const FeelResult& feel, bool applied) {
  Coordinates out;
  for (const FeelPoint& p : feel.points)
    out.emplace_back(value_of(applied ? p.applied : p.released), p.deceleration_mps2);
  return out;
}

std::string drawing_of(const std::string& scenario, const FeelResult& candidate, const FeelResult* baseline) {
  std::vector<double> efforts, levels;
  for (const FeelResult* feel : {&candidate, baseline}) {
    if (feel == nullptr) continue;
    for (const FeelPoint& p : feel->points) {
      efforts.insert(efforts.end(), {value_of(p.applied), value_of(p.released)});
      levels.push_back(p.deceleration_mps2);
    }
  }
  const bool pedal = candidate.unit == "N";
  Svg drawing(axis_over(efforts, pedal ? "pedal force, N" : "hand control travel, mm", true),
              axis_over(levels, "deceleration, m/s^2", true));
  drawing.axes();
  drawing.line("candidate", curve_of(candidate, true), Marker::kCircle);
  drawing.line("candidate right", curve_of(candidate, false), Marker::kSquare);
  if (baseline != nullptr) {
    drawing.line("baseline", curve_of(*baseline, true), Marker::kCircle);
    drawing.line("baseline right", curve_of(*baseline, false), Marker::kSquare);
  }
  return drawing.svg(concat(control_words(candidate), ", deceleration over effort in ", scenario,
                            baseline != nullptr ? ", candidate and baseline" : "",
                            ", applying and releasing; the numbers are in the table below"));
}

std::string keys_of(const verdict::Run& run, bool with_baseline) {
  std::string text = "<ul class=\"keys\">";
  const auto add = [&](std::string_view style, const std::string& name) {
    append(text, svg_key(style, name + ", applying", Marker::kCircle),
           svg_key(concat(style, " right"), name + ", releasing", Marker::kSquare));
  };
  add("candidate", candidate_words(run));
  if (with_baseline) add("baseline", baseline_words(run));
  return text + "</ul>";
}

std::string cell(const std::optional<double>& x, int decimals) {
  return concat("<td class=\"n\">", x ? verdict::format_number(*x, decimals) : "never", "</td>");
}

std::string table_of(const std::string& scenario, const FeelResult& candidate, const FeelResult* baseline) {
  std::string text = concat(
      "<details><summary>The numbers</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" "
      "aria-label=\"",
      control_words(candidate), " of ", html(scenario, 240),
      "\"><table class=\"feel\"><thead><tr><th scope=\"col\" class=\"n\">m/s^2</th>");
  for (const char* who : {"candidate", "baseline"})
    for (const char* way : {"applying", "releasing"})
      if (baseline != nullptr || who[0] == 'c')
        append(text, "<th scope=\"col\" class=\"n\">", std::string_view(who), ", ", std::string_view(way),
               ", ", html(candidate.unit, 40), "</th>");
  text += "</tr></thead><tbody>\n";
  const int decimals = decimals_of(candidate);
  const size_t count = std::min(candidate.points.size(), kMostLevels);
  for (size_t i = 0; i < count; ++i) {
    const FeelPoint& p = candidate.points[i];
    append(text, "<tr><th scope=\"row\" class=\"n\">", verdict::format_number(p.deceleration_mps2, 2),
           "</th>", cell(p.applied, decimals), cell(p.released, decimals));
    if (baseline != nullptr && i < baseline->points.size())
      append(text, cell(baseline->points[i].applied, decimals), cell(baseline->points[i].released, decimals));
    text += "</tr>\n";
  }
  return text + "</tbody></table></div></details>\n";
}

const FeelResult* same_control(const verdict::ScenarioResult* s, const FeelResult& feel) {
  if (s == nullptr) return nullptr;
  const auto it = std::find_if(s->feel.begin(), s->feel.end(),
                               [&](const FeelResult& f) { return f.control == feel.control; });
  return it == s->feel.end() ? nullptr : &*it;
}

std::string entry_of(const verdict::Run& run, const HtmlExtras& extras, const verdict::ScenarioResult& s) {
  std::string text = concat("<h3>", link_to(run, s), " ", badge(s.verdict), "</h3>\n<div class=\"pair\">");
  const verdict::ScenarioResult* there = under_baseline(extras, s.scenario);
  for (const FeelResult& feel : s.feel) {
    const FeelResult* baseline = same_control(there, feel);
    append(text, "<figure><figcaption>", control_words(feel), "</figcaption>",
           drawing_of(s.scenario, feel, baseline), keys_of(run, baseline != nullptr),
           table_of(s.scenario, feel, baseline), "</figure>");
  }
  return text + "</div>\n";
}

}  // namespace

std::string feel_section(const verdict::Run& run, const HtmlExtras& extras) {
  std::vector<std::string> entries;
  for (const auto* s : ordered_scenarios(run))
    if (!s->feel.empty()) entries.push_back(entry_of(run, extras, *s));
  if (entries.empty()) return "";
  return concat(
      "<section id=\"feel\"><h2>Feel</h2>\n<p class=\"note\">Deceleration over effort while a slow request "
      "rises and falls, as brakes and motors make it; drag and road are left out.",
      without_baseline(extras), "</p>\n", fitting(entries, "scenario", kMostBytes), "</section>\n");
}

}  // namespace brakeward::report
