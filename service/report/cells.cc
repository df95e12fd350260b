#include "report/cells.h"

#include <cmath>

#include "report/order.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {

using verdict::MeasureResult;

MeasureCells cells_of(const MeasureResult& m) {
  const MeasureForm form = form_of(m.measure);
  const bool fails = m.verdict == verdict::Verdict::kFail;
  const bool beyond_tolerance = m.tolerance_used && *m.tolerance_used > 1;
  MeasureCells cells;
  if (form.unit != "1" && (m.value || m.baseline)) cells.unit = form.unit;
  if (m.value) cells.value = verdict::format_number(*m.value, form.decimals);
  if (!m.value && fails) cells.value = "never";
  if (m.baseline) cells.baseline = verdict::format_number(*m.baseline, form.decimals);
  if (m.allowed_change) cells.allowed = verdict::format_number(*m.allowed_change, form.decimals);
  if (m.value && m.baseline) {
    const double change = *m.value - *m.baseline;
    cells.change = verdict::format_signed(change, form.decimals);
    if (m.allowed_change && beyond_tolerance) {
      const verdict::NumberPair pair =
          verdict::format_apart(std::fabs(change), *m.allowed_change, form.decimals);
      cells.change = verdict::concat(change < 0 ? "-" : "+", pair.value);
      cells.allowed = pair.bound;
    }
  }
  if (m.tolerance_used) cells.used = verdict::format_share(*m.tolerance_used);
  if (fails && m.value && !beyond_tolerance) cells.used = "limit";
  return cells;
}

}  // namespace brakeward::report
