#include "report/moves.h"

#include "document/text.h"
#include "report/cells.h"
#include "report/order.h"
#include "report/summary.h"
#include "report/table.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;

bool moved(const MeasureResult& m) {
  return m.value.has_value() != m.baseline.has_value() || (m.value && *m.value != *m.baseline);
}

}  // namespace

std::string render_moves(const verdict::Run& run) {
  Table table({{}, {}, {true}, {true}, {false, 1}, {true}, {true}, {true}, {}});
  table.add({"scenario", "measure", "baseline", "now", "", "change", "allowed", "used", "verdict"});
  size_t rows = 0, still = 0;
  for (const verdict::ScenarioResult* s : ordered_scenarios(run)) {
    for (const MeasureResult* m : ordered_measures(*s)) {
      if (!m->value && !m->baseline) continue;
      if (!moved(*m)) {
        ++still;
        continue;
      }
      ++rows;
      MeasureCells c = cells_of(*m);
      table.add({document::clean(s->scenario), document::clean(m->measure), c.baseline, c.value,
                 std::string(form_of(m->measure).unit), c.change, c.allowed, c.used, word(m->verdict)});
    }
  }
  const std::string head = verdict::concat("against ", document::clean(baseline_label(run)), " ");
  if (rows == 0) return verdict::concat(head, "no measure moved, of ", still, "\n");
  return verdict::concat(head, counted(rows, "measure"), " moved, ", still, " did not:\n", table.text());
}

}  // namespace brakeward::report
