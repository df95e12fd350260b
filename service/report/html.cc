#include "report/html.h"

#include <algorithm>
#include <set>

#include "measure/catalogue.h"
#include "report/cells.h"
#include "report/html_assets.h"
#include "report/html_page.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/order.h"
#include "report/summary.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::Run;
using verdict::Verdict;

constexpr size_t kDrawn = 20;  // scenarios that pass
constexpr size_t kMostFindings = 20;
constexpr size_t kMostChanges = 300;
constexpr size_t kMostGroups = 40;

std::string script() {
  return concat("/*\n", kPlotNotice, "*/\n", kPlotScript, "\n", kSchemeScript, kReportScript);
}

std::string head(const Run& run, std::string_view embedded) {
  const std::string title =
      concat(html(run.calibration_name, 120), ": ", word(run.verdict), ", brake calibration check");
  return page_head(title, concat(kPlotStyle, "\n", kReportStyle), embedded);
}

std::string banner(const Run& run) {
  const std::string against =
      run.baseline_event_build.empty()
          ? "without a baseline: changes cannot be judged, limits can"
          : concat("against event build <strong>", html(baseline_label(run)), "</strong>");
  std::string text = concat("<header class=\"banner ", word(run.verdict),
                            "\">\n<p class=\"kind\">Brake calibration check</p>\n<h1>", badge(run.verdict),
                            " ", html(run.calibration_name), "</h1>\n<p class=\"against\">", against,
                            ", car ", html(run.vehicle_name), ", library ", html(run.library_name), "</p>\n");
  if (run.state != verdict::RunState::kCompleted)
    append(text, "<p class=\"broken\">The run is not complete: ", word(run.state), ".</p>\n");
  return concat(text, "<p class=\"tally\">", scenario_tally(run), "<br>", measure_tally(run), "</p>\n",
                caution_box(), "</header>\n");
}

// Of the sections that not every run has, `sections` has those of this one.
std::string navigation(std::string_view sections) {
  constexpr std::pair<std::string_view, std::string_view> kLinks[] = {
      {"worst", "Worst"},           {"changes", "Changes"},     {"map", "Map"},
      {"scenarios", "Scenarios"},   {"feel", "Feel"},           {"repeatability", "Repeatability"},
      {"stints", "Stints"},         {"campaigns", "Campaigns"}, {"balance", "Balance"},
      {"not-judged", "Not judged"}, {"compared", "Compared"},   {"measures", "Measures"}};
  std::string text = "<nav aria-label=\"Sections\">";
  for (const auto& [id, words] : kLinks) {
    const bool not_always = id == "feel" || id == "repeatability" || id == "stints";
    if (not_always && sections.find(concat("<section id=\"", id, "\">")) == std::string_view::npos) continue;
    append(text, "<a href=\"#", id, "\">", words, "</a> ");
  }
  return text + "<button type=\"button\" id=\"scheme\" hidden>Dark</button></nav>\n<main>\n";
}

std::string term(std::string_view label, std::string_view name, std::string_view sha256 = "") {
  if (name.empty() && sha256.empty()) return "";
  std::string text = concat("<dt>", label, "</dt><dd>", html(name));
  if (!sha256.empty())
    append(text, name.empty() ? "" : " ", "<code title=\"SHA-256 ", html(sha256), "\">",
           html(sha256.substr(0, kHashDigits)), "</code>");
  return text + "</dd>\n";
}

std::string compared(const Run& run) {
  std::string text = concat("<section id=\"compared\"><h2>What was compared</h2>\n<dl class=\"facts\">\n",
                            term("candidate", run.calibration_name, run.calibration_sha256),
                            term("baseline", run.baseline_event_build.empty() ? "none" : baseline_label(run)),
                            term("vehicle", run.vehicle_name, run.vehicle_sha256),
                            term("library", run.library_name), term("tier", run.tier ? word(*run.tier) : ""),
                            term("marked as event build", run.event_build), "<dt>numerics version</dt><dd>",
                            run.numerics_version, "</dd>\n", term("result", "", run.result_sha256),
                            term("run", run.run_id), term("finished at", run.finished_at));
  if (run.replayed_s > 0)
    append(text, "<dt>replayed</dt><dd>", verdict::format_number(run.replayed_s, 1), " s of driving in ",
           verdict::format_number(run.duration_s, 2), " s</dd>\n");
  return text + "</dl></section>\n";
}

std::string changes(const Run& run) {
  std::string text = "<section id=\"changes\"><h2>What the candidate changes</h2>\n";
  if (run.calibration_changes.empty()) {
    return concat(text,
                  run.baseline_event_build.empty()
                      ? "<p>There is no baseline whose calibration the candidate could be held against.</p>"
                      : "<p>No value differs from the baseline's calibration.</p>",
                  "</section>\n");
  }
  text +=
      "<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Values changed\"><table><thead><tr>"
      "<th scope=\"col\">address</th><th scope=\"col\" class=\"n\">before</th>"
      "<th scope=\"col\" class=\"n\">after</th></tr></thead><tbody>\n";
  const size_t count = std::min(run.calibration_changes.size(), kMostChanges);
  for (size_t i = 0; i < count; ++i) {
    const verdict::CalibrationChange& c = run.calibration_changes[i];
    append(text, "<tr><th scope=\"row\"><code>", html(c.address, 300), "</code></th><td class=\"n\">",
           html(c.before, 200), "</td><td class=\"n\">", html(c.after, 200), "</td></tr>\n");
  }
  text += "</tbody></table></div>\n";
  if (count < run.calibration_changes.size())
    append(text, "<p>And ", counted(run.calibration_changes.size() - count, "more value"),
           "; the JSON has them all.</p>\n");
  return text + "</section>\n";
}

std::string finding_row(const Run& run, const Finding& f) {
  std::string text =
      concat("<tr><td>", badge(f.verdict()), "</td><th scope=\"row\">", link_to(run, *f.scenario), "</th>");
  if (f.measure == nullptr)
    return concat(text, "<td>the scenario itself</td><td></td><td></td><td></td><td></td><td class=\"why\">",
                  html(f.reason()), "</td></tr>\n");
  const MeasureCells cells = cells_of(*f.measure);
  return concat(text, "<td><code>", html(f.measure->measure, 240), "</code></td><td class=\"n\">",
                f.measure->value ? verdict::with_unit(cells.value, cells.unit) : cells.value,
                "</td><td class=\"n\">", cells.change, "</td><td class=\"n\">", cells.allowed, "</td>",
                used_cell(*f.measure, cells.used), "<td class=\"why\">", html(f.measure->reason),
                "</td></tr>\n");
}

std::string worst(const Run& run) {
  const std::vector<Finding> findings = ordered_findings(run);
  if (findings.empty())
    return "<section id=\"worst\"><h2>Nearest to tolerance</h2>\n<p>Nothing was judged.</p></section>\n";
  const size_t failing = static_cast<size_t>(std::count_if(
      findings.begin(), findings.end(), [](const Finding& f) { return f.verdict() > Verdict::kPass; }));
  const size_t count = std::min(findings.size(), kMostFindings);
  std::string text =
      concat("<section id=\"worst\"><h2>",
             failing > 0 ? "Beyond tolerance and nearest to it" : "Nearest to tolerance",
             "</h2>\n<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Worst "
             "findings\"><table><thead><tr>"
             "<th scope=\"col\">verdict</th><th scope=\"col\">scenario</th><th scope=\"col\">measure</th>"
             "<th scope=\"col\" class=\"n\">value</th><th scope=\"col\" class=\"n\">change</th>"
             "<th scope=\"col\" class=\"n\">allowed</th><th scope=\"col\">tolerance used</th>"
             "<th scope=\"col\">why</th></tr></thead><tbody>\n");
  for (size_t i = 0; i < count; ++i) text += finding_row(run, findings[i]);
  text += "</tbody></table></div>\n";
  if (failing > count)
    append(text, "<p>", counted(failing - count, "more finding"), " not passing: see the scenarios.</p>\n");
  return text + "</section>\n";
}

std::string groups_of(const Run& run, Verdict v) {
  const std::vector<ReasonGroup> groups = groups_by_reason(run, v);
  std::string text;
  const size_t count = std::min(groups.size(), kMostGroups);
  for (size_t i = 0; i < count; ++i) {
    const ReasonGroup& g = groups[i];
    append(text, "<li>", badge(v), " ", counted(g.measures, "measure"), " in ", html(place_of(g), 240), ": ",
           html(g.reason));
    if (const std::string_view remedy = remedy_of(g.reason); !remedy.empty())
      append(text, " <em>Would settle it: ", remedy, ".</em>");
    text += "</li>\n";
  }
  if (count < groups.size())
    append(text, "<li>and ", counted(groups.size() - count, "more reason"), " for ", word(v),
           "; the JSON has them all</li>\n");
  return text;
}

std::string inconclusive_scenarios(const Run& run) {
  const auto all = inconclusive_as_a_whole(run);
  const size_t count = std::min(all.size(), kMostGroups);
  std::string text;
  for (size_t i = 0; i < count; ++i)
    append(text, "<li>", badge(all[i]->verdict), " ", html(all[i]->scenario, 240),
           " as a whole: ", html(all[i]->reason.empty() ? "no reason given" : all[i]->reason), "</li>\n");
  if (count < all.size())
    append(text, "<li>and ", counted(all.size() - count, "more scenario"), "; the JSON has them all</li>\n");
  return text;
}

std::string not_judged(const Run& run) {
  const std::string list = concat(inconclusive_scenarios(run), groups_of(run, Verdict::kInconclusive),
                                  groups_of(run, Verdict::kNone));
  return concat(
      "<section id=\"not-judged\"><h2>Not judged, and what would settle it</h2>\n",
      list.empty() ? "<p>Every measure was judged.</p>" : concat("<ul class=\"plain\">\n", list, "</ul>"),
      "\n</section>\n");
}

std::string measures(const Run& run) {
  std::set<std::string_view> seen;
  for (const auto& s : run.scenarios)
    for (const auto& m : s.measures) seen.insert(m.measure);
  std::string text =
      "<section id=\"measures\"><h2>Measures</h2>\n<details><summary>What each measure "
      "means</summary>\n<dl>\n";
  for (const measure::MeasureInfo& m : measure::catalogue())
    if (seen.contains(m.name))
      append(text, "<dt><code>", html(m.name), "</code>, ", html(m.unit == "1" ? "no unit" : m.unit), ", ",
             measure::words(m.worse), "</dt><dd>", html(m.definition), " <small>Source: ", html(m.source),
             ".</small></dd>\n");
  return text +
         "</dl></details>\n<p><small>A verdict is the worst of its measures; words after ETSI ES 201 873-1. "
         "Axes and "
         "signs after ISO 8855; deceleration and braking slip are positive when "
         "braking.</small></p></section>\n";
}

}  // namespace

std::vector<const verdict::ScenarioResult*> scenarios_to_draw(const Run& run) {
  std::vector<const verdict::ScenarioResult*> out;
  size_t passing = 0;
  for (const verdict::ScenarioResult* s : ordered_scenarios(run))
    if (s->verdict > Verdict::kPass || passing++ < kDrawn) out.push_back(s);
  return out;
}

std::string anchor_of(const Run& run, const verdict::ScenarioResult& scenario) {
  return concat("s", static_cast<size_t>(&scenario - run.scenarios.data()));
}

std::string link_to(const Run& run, const verdict::ScenarioResult& scenario) {
  return concat("<a href=\"#", anchor_of(run, scenario), "\">", html(scenario.scenario, 240), "</a>");
}

const verdict::ScenarioResult* under_baseline(const HtmlExtras& extras, const std::string& scenario) {
  const auto it = std::find_if(extras.baseline.begin(), extras.baseline.end(),
                               [&](const auto& s) { return s.scenario == scenario; });
  return it == extras.baseline.end() ? nullptr : &*it;
}

std::string without_baseline(const HtmlExtras& extras) {
  if (extras.why_no_baseline.empty()) return "";
  return concat(" The baseline is not drawn: ", html(extras.why_no_baseline), ".");
}

std::string candidate_words(const Run& run) {
  return concat("candidate ", html(run.calibration_name, 120));
}

std::string baseline_words(const Run& run) {
  return concat("baseline ", html(run.baseline_event_build, 120));
}

std::string fitting(const std::vector<std::string>& entries, std::string_view noun, size_t most_bytes) {
  std::string text;
  size_t count = 0;
  for (; count < entries.size() && text.size() + entries[count].size() <= most_bytes; ++count)
    text += entries[count];
  if (count < entries.size())
    append(text, "<p class=\"note\">", counted(entries.size() - count, concat("more ", noun)),
           " left out to keep this file small; the JSON has all numbers.</p>\n");
  return text;
}

std::string badge(Verdict v) {
  return concat("<span class=\"badge ", word(v), "\"><span aria-hidden=\"true\">", shape(v), "</span> ",
                word(v), "</span>");
}

std::string used_cell(const verdict::MeasureResult& m, std::string_view text) {
  if (!m.tolerance_used) return concat("<td class=\"used\">", text, "</td>");
  const double percent = std::clamp(100 * *m.tolerance_used, 0.0, 200.0);
  const std::string_view over = *m.tolerance_used > 1 ? " over" : "";
  return concat("<td class=\"used\"><span class=\"bar", over,
                "\" style=\"--u:", verdict::format_number(percent, 0), "\"></span>", text, "</td>");
}

std::string render_html(const Run& run, const HtmlExtras& extras) {
  constexpr size_t kReserve = 20000;
  const std::string embedded = script();
  const std::string plots =
      concat(feel_section(run, extras), repetitions_section(run, extras), stints_section(run, extras));
  const std::string before =
      concat(head(run, embedded), banner(run), navigation(plots), worst(run), changes(run), map_section(run));
  const std::string after =
      concat(plots, campaigns_section(run), balance_section(extras), not_judged(run), compared(run),
             build_sheet_section(run), measures(run), page_foot(embedded));
  const size_t taken = std::min(before.size() + after.size() + kReserve, kMostHtmlBytes);
  return concat(before, scenarios_section(run, extras, kMostHtmlBytes - taken), after);
}

}  // namespace brakeward::report
