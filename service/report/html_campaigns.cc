#include "report/campaign.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;

std::string head() {
  std::string text = "<thead><tr><th scope=\"col\">verdict</th>";
  for (size_t i = 0; i < kCampaignCells; ++i)
    append(text, "<th scope=\"col\"", is_text(i) ? ">" : " class=\"n\">", kCampaignHeads[i], "</th>");
  return text + "</tr></thead>";
}

std::string row_of(const CampaignRow& row) {
  std::string text = concat("<tr><td>", badge(row.verdict), "</td><th scope=\"row\"><code>",
                            html(row.cells.front(), 240), "</code></th>");
  for (size_t i = 1; i < row.cells.size(); ++i)
    append(text, is_text(i) ? "<td>" : "<td class=\"n\">", html(row.cells[i], 240), "</td>");
  return text + "</tr>\n";
}

std::string table_of(const verdict::Run& run, const verdict::ScenarioResult& s) {
  std::string text =
      concat("<h3>", link_to(run, s), " ", badge(s.verdict), ", ", tolerant_time(*s.campaign),
             "</h3>\n<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Faults of ",
             html(s.scenario, 240), "\"><table>", head(), "<tbody>\n");
  for (const CampaignRow& row : campaign_rows(s)) text += row_of(row);
  return text + "</tbody></table></div>\n";
}

}  // namespace

std::string campaigns_section(const verdict::Run& run) {
  const auto campaigns = campaigns_of(run);
  std::string text = "<section id=\"campaigns\"><h2>Campaigns</h2>\n";
  if (campaigns.empty()) return text + "<p>No campaign was replayed.</p></section>\n";
  for (const auto* s : campaigns) text += table_of(run, *s);
  return concat(text, "<p><small>", html(campaign_legend()), "</small></p></section>\n");
}

}  // namespace brakeward::report
