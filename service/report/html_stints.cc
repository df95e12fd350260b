#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/stint.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;

constexpr size_t kMostLaps = 100;

std::string table_of(const verdict::Run& run, const verdict::ScenarioResult& s) {
  std::string text =
      concat("<h3>", link_to(run, s), " ", badge(s.verdict), ", ", s.stint->laps.size(),
             " laps</h3>\n<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Laps of ",
             html(s.scenario, 240), "\"><table><thead><tr>");
  for (size_t i = 0; i < kStintCells; ++i)
    append(text, "<th scope=\"col\"", is_stint_text(i) ? ">" : " class=\"n\">", kStintHeads[i], "</th>");
  text += "</tr></thead><tbody>\n";
  for (const auto& row : stint_rows(*s.stint, kMostLaps)) {
    text += "<tr>";
    for (size_t i = 0; i < row.size(); ++i)
      append(text, is_stint_text(i) ? "<td>" : "<td class=\"n\">", html(row[i]), "</td>");
    text += "</tr>\n";
  }
  return text + "</tbody></table></div>\n";
}

}  // namespace

std::string stints_section(const verdict::Run& run) {
  const auto stints = stints_of(run);
  if (stints.empty()) return "";
  std::string text = "<section id=\"stints\"><h2>Stints</h2>\n";
  for (const auto* s : stints) text += table_of(run, *s);
  return concat(text, "<p><small>", html(stint_legend()), "</small></p></section>\n");
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
