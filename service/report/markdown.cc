#include "report/markdown.h"

#include <algorithm>
#include <array>
#include <vector>

#include "report/campaign.h"
#include "report/cells.h"
#include "report/changes.h"
#include "report/markdown_text.h"
#include "report/order.h"
#include "report/stint.h"
#include "report/summary.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::concat;
using verdict::Run;
using verdict::Verdict;

constexpr size_t kMostNameBytes = 240;
constexpr size_t kMostReasonBytes = 1200;
constexpr size_t kMostFindings = 5;
constexpr size_t kMostGroups = 6;  // of each verdict
constexpr size_t kMostChanges = 30;

std::string name_of(std::string_view text) {
  return markdown(text, kMostNameBytes);
}

std::string head(const Run& run) {
  std::string text = concat("## Brake calibration check: ", shown(run.verdict), "\n\n");
  if (run.state != verdict::RunState::kCompleted) {
    verdict::append(text, "**The run is not complete: ", word(run.state), ".**\n\n");
  }
  return concat(text, "- ", scenario_tally(run), "\n- ", measure_tally(run), "\n");
}

std::string row(std::string_view label, std::string_view name, std::string_view sha256 = "") {
  if (name.empty() && sha256.empty()) return "";
  std::string value = name_of(name);
  if (!sha256.empty()) {
    verdict::append(value, value.empty() ? "" : ", ", "SHA-256 ", name_of(sha256.substr(0, kHashDigits)));
  }
  return concat("| ", label, " | ", value, " |\n");
}

std::string compared(const Run& run) {
  const std::string baseline =
      run.baseline_event_build.empty() ? "none: changes cannot be judged, limits can" : baseline_label(run);
  return concat("### What was compared\n\n| | |\n| --- | --- |\n",
                row("candidate", run.calibration_name, run.calibration_sha256), row("baseline", baseline),
                row("vehicle", run.vehicle_name, run.vehicle_sha256), row("library", run.library_name),
                row("tier", run.tier ? word(*run.tier) : ""), row("marked as event build", run.event_build),
                "| numerics version | ", run.numerics_version, " |\n", row("result", "", run.result_sha256),
                row("run", run.run_id), row("finished at", run.finished_at));
}

std::string finding_row(const Finding& f) {
  const std::string scenario = name_of(f.scenario->scenario);
  if (f.measure == nullptr) {
    return concat("| ", scenario, " | the scenario itself | - | - | - | - | - | ", shown(f.verdict()),
                  " |\n");
  }
  const MeasureCells cells = cells_of(*f.measure);
  const auto in_unit = [&](const std::string& number, bool is_there) {
    return is_there ? verdict::with_unit(number, cells.unit) : number;
  };
  return concat("| ", scenario, " | ", name_of(f.measure->measure), " | ",
                in_unit(cells.value, f.measure->value.has_value()), " | ",
                in_unit(cells.baseline, f.measure->baseline.has_value()), " | ", cells.change, " | ",
                cells.allowed, " | ", cells.used, " | ", shown(f.verdict()), " |\n");
}

std::string finding_reason(const Finding& f) {
  if (f.verdict() == Verdict::kPass || f.reason().empty()) return "";
  const std::string where = f.measure == nullptr ? "" : concat(", ", name_of(f.measure->measure));
  return concat("- ", shape(f.verdict()), " ", name_of(f.scenario->scenario), where, ": ",
                markdown(f.reason(), kMostReasonBytes), "\n");
}

std::string worst_findings(const Run& run) {
  const std::vector<Finding> findings = ordered_findings(run);
  if (findings.empty()) return "### Findings\n\nNothing was judged.\n";
  const auto end = findings.begin() + static_cast<ptrdiff_t>(std::min(findings.size(), kMostFindings));
  std::string text =
      "### The worst findings\n\n"
      "| scenario | measure | value | baseline | change | allowed | tolerance used | verdict |\n"
      "| --- | --- | ---: | ---: | ---: | ---: | ---: | --- |\n";
  std::string reasons;
  for (auto f = findings.begin(); f != end; ++f) {
    text += finding_row(*f);
    reasons += finding_reason(*f);
  }
  if (!reasons.empty()) verdict::append(text, "\n", reasons);
  const auto more =
      std::count_if(end, findings.end(), [](const Finding& f) { return f.verdict() > Verdict::kPass; });
  if (more > 0) {
    verdict::append(text, "\n", more, more == 1 ? " more finding does" : " more findings do",
                    " not pass; the JSON and the terminal have them all.\n");
  }
  return text;
}

std::string campaigns(const Run& run) {
  std::string text;
  for (const verdict::ScenarioResult* s : campaigns_of(run)) {
    verdict::append(text, text.empty() ? "### Campaigns\n\n" : "\n", name_of(s->scenario), ", ",
                    tolerant_time(*s->campaign), ": ", shown(s->verdict), "\n\n|");
    for (const char* cell : kCampaignHeads) verdict::append(text, " ", cell, " |");
    text += " verdict |\n|";
    for (size_t i = 0; i < kCampaignCells; ++i) text += is_text(i) ? " --- |" : " ---: |";
    text += " --- |\n";
    for (const CampaignRow& row : campaign_rows(*s)) {
      text += "|";
      for (const std::string& cell : row.cells) verdict::append(text, " ", name_of(cell), " |");
      verdict::append(text, " ", shown(row.verdict), " |\n");
    }
  }
  return text.empty() ? text : concat(text, "\n", campaign_legend(), "\n\n");
}

std::string stints(const Run& run) {
  std::string text;
  for (const verdict::ScenarioResult* s : stints_of(run)) {
    verdict::append(text, text.empty() ? "### Stints\n\n" : "\n", name_of(s->scenario), ", ",
                    s->stint->laps.size(), " laps: ", shown(s->verdict), "\n\n|");
    for (const char* cell : kStintHeads) verdict::append(text, " ", cell, " |");
    text += "\n|";
    for (size_t i = 0; i < kStintCells; ++i) text += is_stint_text(i) ? " --- |" : " ---: |";
    text += "\n";
    for (const auto& row : stint_rows(*s->stint, kStintLapsShown)) {
      text += "|";
      for (const std::string& cell : row) verdict::append(text, " ", cell, " |");
      text += "\n";
    }
  }
  return text.empty() ? text : concat(text, "\n", stint_legend(), "\n\n");
}

std::string build_sheet(const Run& run) {
  if (run.build_sheet.empty()) return "";
  std::string text = "### Build sheet\n\n| | |\n| --- | --- |\n";
  for (const verdict::BuildSheetLine& line : run.build_sheet)
    verdict::append(text, "| ", name_of(line.field), " | ", name_of(line.value), " |\n");
  if (!run.build_sheet_differences.empty()) text += "\nFitted otherwise when it was recorded:\n\n";
  for (const verdict::BuildSheetDifference& d : run.build_sheet_differences)
    verdict::append(text, "- ", sentence_of(d, [](const std::string& x) { return name_of(x); }), "\n");
  return text + "\n";
}

std::string calibration_changes(const Run& run) {
  const std::string title = "### What the candidate changes\n\n";
  if (!run.calibration_changes.empty()) {
    return title + render_changes_markdown(run.calibration_changes, kMostChanges);
  }
  if (run.baseline_event_build.empty()) {
    return title + "There is no baseline whose calibration the candidate could be held against.\n";
  }
  return title + "No value differs from the baseline's calibration.\n";
}

std::string groups_of(const Run& run, Verdict v) {
  const std::vector<ReasonGroup> groups = groups_by_reason(run, v);
  std::string text;
  for (size_t i = 0; i < std::min(groups.size(), kMostGroups); ++i) {
    const ReasonGroup& g = groups[i];
    verdict::append(text, "- ", v == Verdict::kNone ? word(v) : shown(v), ", ",
                    counted(g.measures, "measure"), " in ", name_of(place_of(g)), ": ",
                    markdown(g.reason, kMostReasonBytes));
    if (const std::string_view remedy = remedy_of(g.reason); !remedy.empty()) {
      verdict::append(text, " (would settle it: ", remedy, ")");
    }
    text += "\n";
  }
  if (groups.size() > kMostGroups) {
    verdict::append(text, "- and ", counted(groups.size() - kMostGroups, "more reason"), " for ", word(v),
                    "; the JSON has them all\n");
  }
  return text;
}

std::string inconclusive_scenarios(const Run& run) {
  const auto all = inconclusive_as_a_whole(run);
  const size_t count = std::min(all.size(), kMostGroups);
  std::string text;
  for (size_t i = 0; i < count; ++i)
    verdict::append(text, "- ", shown(all[i]->verdict), ", ", name_of(all[i]->scenario), " as a whole: ",
                    markdown(all[i]->reason.empty() ? "no reason given" : all[i]->reason, kMostReasonBytes),
                    "\n");
  if (count < all.size())
    verdict::append(text, "- and ", counted(all.size() - count, "more scenario"),
                    "; the JSON has them all\n");
  return text;
}

std::string not_judged(const Run& run) {
  const std::string text = concat(inconclusive_scenarios(run), groups_of(run, Verdict::kInconclusive),
                                  groups_of(run, Verdict::kNone));
  if (text.empty()) return "### Not judged\n\nEvery measure was judged.\n";
  return "### Not judged, and what would settle it\n\n" + text;
}

}  // namespace

std::string render_markdown(const Run& run) {
  return concat(head(run), "\n", compared(run), "\n", worst_findings(run), "\n", campaigns(run), stints(run),
                build_sheet(run), calibration_changes(run), "\n", not_judged(run), "\n> **Caution.** ",
                verdict::caution(), "\n");
}

}  // namespace brakeward::report
