#include <algorithm>
#include <set>
#include <utility>
#include <vector>

#include "document/text.h"
#include "report/cells.h"
#include "report/order.h"
#include "report/table.h"
#include "report/terminal_parts.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::ScenarioResult;
using verdict::Verdict;

enum Cell { kScenario, kMeasure, kValue, kUnit, kChange, kAllowed, kUsed, kVerdict, kColumns };
using Row = std::vector<std::string>;
const std::vector<Column> kLayout = {{}, {}, {true}, {false, 1}, {true}, {true}, {true}, {}};
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

Row row_of(const ScenarioResult& s, const TerminalOptions& options) {
  Row row(kColumns);
  row[kScenario] = document::clean(s.scenario);
  row[kVerdict] = paint(word(s.verdict), s.verdict, options);
  const std::vector<const MeasureResult*> measures = ordered_measures(s);
  if (measures.empty() || measures.front()->verdict == Verdict::kNone) {
    row[kMeasure] = "-";
  } else {
    fill(*measures.front(), row);
  }
  return row;
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
  const std::vector<const ScenarioResult*> scenarios = ordered_scenarios(run);
  Table table(kLayout);
  table.add({"scenario", "worst measure", "value", "", "change", "allowed", "used", "verdict"});
  for (const ScenarioResult* s : scenarios) table.add(row_of(*s, options));
  std::string text = verdict::concat("  ", table.line(0), "\n");
  for (size_t i = 0; i < scenarios.size(); ++i) {
    const ScenarioResult& s = *scenarios[i];
    verdict::append(text, paint(mark(s.verdict), s.verdict, options), " ", table.line(i + 1), "\n",
                    reasons_of(s, options));
  }
  return text;
}

}  // namespace brakeward::report
