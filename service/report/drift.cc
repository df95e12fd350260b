#include "report/drift.h"

#include "document/text.h"
#include "report/drift_rows.h"
#include "report/markdown_text.h"
#include "report/summary.h"
#include "report/table.h"
#include "report/terminal_parts.h"
#include "report/text.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::Drift;
using verdict::DriftSeries;
using verdict::Verdict;

constexpr size_t kMostBytes = 1200;

constexpr std::string_view kHidden = "used less than half of the drift tolerance";

}  // namespace

std::string render_drift(const Drift& drift, bool all, const TerminalOptions& options) {
  std::string text =
      concat("season   ", document::clean(drift.season), "  (sha256 ",
             drift.season_sha256.substr(0, kHashDigits), ")\nvehicle  ", document::clean(drift.vehicle_name),
             "  (sha256 ", drift.vehicle_sha256.substr(0, kHashDigits), ")\nlibrary  ",
             document::clean(drift.library_name), ", numerics version ", drift.numerics_version, "\n");
  for (const verdict::DriftBuild& b : drift.builds)
    append(text, "build    ", document::clean(b.name), ", ", document::clean(b.held_on), ", calibration ",
           document::clean(b.calibration_name), "  (sha256 ", b.calibration_sha256.substr(0, kHashDigits),
           ")\n");
  std::vector<Column> layout = {{}, {}, {true}};
  for (size_t i = 1; i < drift.builds.size() + 3; ++i) layout.push_back({true});
  layout.push_back({});
  Table table(layout);
  table.add(drift_heads(drift));
  std::vector<const DriftSeries*> shown;
  size_t hidden = 0;
  for (const DriftSeries* s : ordered_series(drift)) {
    if (!all && !is_shown(*s)) {
      ++hidden;
      continue;
    }
    shown.push_back(s);
    auto cells = drift_cells(*s, drift.builds.size());
    cells.back() = paint(cells.back(), s->verdict, options);
    table.add(std::move(cells));
  }
  append(text, "\n  ", table.line(0), "\n");
  for (size_t i = 0; i < shown.size(); ++i) {
    append(text, paint(mark(shown[i]->verdict), shown[i]->verdict, options), " ", table.line(i + 1), "\n");
    if (!shown[i]->reason.empty())
      text += paragraph(concat("    ", mark(shown[i]->verdict), " "), shown[i]->reason, options);
  }
  append(text, hidden_line(hidden, kHidden), "\n", paragraph("", kDriftLegend, options), "\n",
         drift_tally(drift), "\n",
         paint(concat(mark(drift.verdict), " drift: ", word(drift.verdict)), drift.verdict, options), "\n");
  return text + paragraph("", verdict::caution(), options);
}

std::string render_drift_markdown(const Drift& drift, bool all) {
  std::string text =
      concat("## Drift of ", markdown(drift.season, kMostBytes), ": ", shown(drift.verdict), "\n\n- ",
             drift_tally(drift), "\n- library ", markdown(drift.library_name, kMostBytes), ", vehicle ",
             markdown(drift.vehicle_name, kMostBytes), ", numerics version ", drift.numerics_version, "\n\n");
  const auto row = [](const std::vector<std::string>& cells) {
    std::string line = "|";
    for (const std::string& c : cells) append(line, " ", markdown(c, kMostBytes), " |");
    return line + "\n";
  };
  const auto head = drift_heads(drift);
  text += row(head) + "| --- | --- |";
  for (size_t i = 2; i + 1 < head.size(); ++i) text += " ---: |";
  text += " --- |\n";
  std::string reasons;
  size_t hidden = 0;
  for (const DriftSeries* s : ordered_series(drift)) {
    if (!all && !is_shown(*s)) {
      ++hidden;
      continue;
    }
    text += row(drift_cells(*s, drift.builds.size()));
    if (!s->reason.empty())
      append(reasons, "- ", shown(s->verdict), " ", markdown(s->scenario, kMostBytes), ": ",
             markdown(s->reason, kMostBytes), "\n");
  }
  if (!reasons.empty()) append(text, "\n", reasons);
  if (hidden > 0) append(text, "\n", hidden_line(hidden, kHidden));
  return concat(text, "\n", kDriftLegend, "\n\n> **Caution.** ", verdict::caution(), "\n");
}

}  // namespace brakeward::report
