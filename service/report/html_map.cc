#include <algorithm>
#include <map>
#include <set>

#include "measure/catalogue.h"
#include "report/cells.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/order.h"
#include "report/summary.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::MeasureResult;
using verdict::Run;
using verdict::ScenarioResult;

constexpr size_t kMostRows = 100;
constexpr size_t kMostColumns = 200;  // room for the catalogue and names it does not know

// Measures that some scenario judges, in catalogue order, then those it does not know.
std::vector<std::string> columns_of(const Run& run) {
  std::set<std::string> seen;
  for (const ScenarioResult& s : run.scenarios)
    for (const MeasureResult& m : s.measures)
      if (m.verdict != verdict::Verdict::kNone) seen.insert(m.measure);
  std::vector<std::string> out;
  for (const measure::MeasureInfo& m : measure::catalogue())
    if (seen.erase(std::string(m.name)) > 0) out.emplace_back(m.name);
  out.insert(out.end(), seen.begin(), seen.end());
  return out;
}

std::string cell(const MeasureResult& m) {
  const double percent = m.tolerance_used ? std::clamp(100 * *m.tolerance_used, 0.0, 100.0) : 0;
  return concat(
      "<td class=\"", word(m.verdict), "\"",
      percent > 0 ? concat(" style=\"--u:", verdict::format_number(percent, 0), "\"") : std::string(),
      " title=\"", html(m.measure, 240), ": ", word(m.verdict), ", ", cells_of(m).used, "\">",
      shape(m.verdict), "</td>");
}

std::string row(const Run& run, const ScenarioResult& s, const std::vector<std::string>& columns) {
  std::map<std::string_view, const MeasureResult*> by_name;
  for (const MeasureResult& m : s.measures) by_name[m.measure] = &m;
  std::string text = concat("<tr><th scope=\"row\">", link_to(run, s), "</th>");
  for (const std::string& column : columns) {
    const auto found = by_name.find(column);
    text += found == by_name.end() ? "<td></td>" : cell(*found->second);
  }
  return text + "</tr>\n";
}

}  // namespace

std::string map_section(const Run& run) {
  const std::vector<std::string> columns = columns_of(run);
  std::string text = "<section id=\"map\"><h2>Every judged measure of every scenario</h2>\n";
  if (columns.empty() || columns.size() > kMostColumns)
    return text + "<p>No table of so few or so many judged measures.</p></section>\n";
  text +=
      "<p class=\"note\">The deeper the shade, "
      "the "
      "more of the tolerance is used. A measure that no scenario judges has no column.</p>\n<div "
      "class=\"wide\" tabindex=\"0\" role=\"group\" "
      "aria-label=\"Verdicts by "
      "scenario and measure\"><table class=\"map\"><thead><tr><td></td>";
  for (const std::string& column : columns)
    append(text, "<th scope=\"col\"><span>", html(column, 240), "</span></th>");
  text += "</tr></thead><tbody>\n";
  const auto scenarios = ordered_scenarios(run);
  const size_t count = std::min(scenarios.size(), kMostRows);
  for (size_t i = 0; i < count; ++i) text += row(run, *scenarios[i], columns);
  text += "</tbody></table></div>\n";
  if (count < scenarios.size())
    append(text, "<p class=\"note\">And ", counted(scenarios.size() - count, "more scenario"),
           ", none graver.</p>\n");
  return text + "</section>\n";
}

}  // namespace brakeward::report
