#include <algorithm>
#include <array>
#include <set>
#include <utility>
#include <vector>

#include "document/text.h"
#include "report/cells.h"
#include "report/order.h"
#include "report/terminal_parts.h"
#include "report/text.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::ScenarioResult;
using verdict::Verdict;

enum Column { kScenario, kMeasure, kValue, kUnit, kChange, kAllowed, kUsed, kVerdict, kColumns };
using Row = std::array<std::string, kColumns>;
constexpr std::array<bool, kColumns> kRightAligned = {false, false, true, false, true, true, true, false};
constexpr std::array<std::string_view, kColumns> kGaps = {"", "  ", "  ", " ", "  ", "  ", "  ", "  "};
constexpr size_t kWidestCell = 48;  // a longer name pushes its own row aside, not every row
constexpr size_t kMostInconclusiveReasons = 3;

void fill(const MeasureResult& m, Row& row) {
  MeasureCells cells = cells_of(m);
  row[kMeasure] = document::clean(m.measure);
  row[kValue] = std::move(cells.value);
  if (m.value) row[kUnit] = cells.unit;
  row[kChange] = std::move(cells.change);
  row[kAllowed] = std::move(cells.allowed);
  row[kUsed] = std::move(cells.used);
}

Row row_of(const ScenarioResult& s) {
  Row row;
  row.fill("");
  row[kScenario] = document::clean(s.scenario);
  row[kVerdict] = word(s.verdict);
  const std::vector<const MeasureResult*> measures = ordered_measures(s);
  if (measures.empty() || measures.front()->verdict == Verdict::kNone) {
    row[kMeasure] = "-";
  } else {
    fill(*measures.front(), row);
  }
  return row;
}

std::string line_of(const Row& row, const std::array<size_t, kColumns>& widths) {
  std::string line;
  for (size_t c = 0; c < kVerdict; ++c) {
    const std::string padding(widths[c] - std::min(widths[c], width_of(row[c])), ' ');
    verdict::append(line, kGaps[c], kRightAligned[c] ? padding : "", row[c], kRightAligned[c] ? "" : padding);
  }
  return verdict::concat(line, kGaps[kVerdict]);
}

// The scenario's own reason, then every failing or broken measure; of the inconclusive ones each reason once,
// and only the first few.
std::string reasons_of(const ScenarioResult& s, const TerminalOptions& options) {
  const auto bullet = [&](Verdict v, std::string_view reason) {
    return paragraph(verdict::concat("    ", mark(v), " "), reason, options);
  };
  std::string text;
  // Where the measures alone explain the verdict, the scenario's reason is why others of them are
  // inconclusive.
  Verdict gravest = Verdict::kNone;
  for (const MeasureResult& m : s.measures) gravest = worst(gravest, m.verdict);
  const Verdict lead = s.verdict > gravest ? s.verdict : std::min(s.verdict, Verdict::kInconclusive);
  if (!s.reason.empty()) text += bullet(lead, s.reason);
  std::set<std::string> said = {s.reason};
  size_t inconclusive = 0;
  for (const MeasureResult* m : ordered_measures(s)) {
    if (m->verdict < Verdict::kInconclusive || m->reason.empty() || !said.insert(m->reason).second) continue;
    if (m->verdict == Verdict::kInconclusive && ++inconclusive > kMostInconclusiveReasons) continue;
    text += bullet(m->verdict, m->reason);
  }
  if (inconclusive > kMostInconclusiveReasons) {
    text += bullet(Verdict::kInconclusive, verdict::concat("and ", inconclusive - kMostInconclusiveReasons,
                                                           " more; the JSON has them all"));
  }
  return text;
}

}  // namespace

std::string scenario_table(const verdict::Run& run, const TerminalOptions& options) {
  const Row titles = {"scenario", "worst measure", "value", "", "change", "allowed", "used", "verdict"};
  const std::vector<const ScenarioResult*> scenarios = ordered_scenarios(run);
  std::vector<Row> rows = {titles};
  for (const ScenarioResult* s : scenarios) rows.push_back(row_of(*s));
  std::array<size_t, kColumns> widths = {};
  for (const Row& row : rows) {
    for (size_t c = 0; c < kColumns; ++c) {
      const size_t width = width_of(row[c]);
      if (width <= kWidestCell) widths[c] = std::max(widths[c], width);
    }
  }
  std::string text = verdict::concat("  ", line_of(titles, widths), titles[kVerdict], "\n");
  for (size_t i = 0; i < scenarios.size(); ++i) {
    const ScenarioResult& s = *scenarios[i];
    verdict::append(text, paint(mark(s.verdict), s.verdict, options), " ", line_of(rows[i + 1], widths),
                    paint(word(s.verdict), s.verdict, options), "\n", reasons_of(s, options));
  }
  return text;
}

}  // namespace brakeward::report
