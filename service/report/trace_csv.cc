#include "report/trace_csv.h"

#include <charconv>

#include "signal/observables.h"

namespace brakeward::report {

std::string render_trace_csv(const std::vector<double>& rows) {
  constexpr double kNothingRecorded = -1e20;  // below anything a signal can be
  std::string out;
  for (int i = 0; i < signal::kObservableCount; ++i) {
    const signal::Observable& o = signal::kObservables[i];
    out += (i == 0 ? "" : ",") + std::string(o.name) + " (" + o.unit + ")";
  }
  out += '\n';
  char text[32];
  for (size_t i = 0; i < rows.size(); ++i) {
    if (!(rows[i] <= kNothingRecorded))
      out.append(text, std::to_chars(text, text + sizeof text, rows[i]).ptr);
    out += (i + 1) % signal::kObservableCount == 0 ? '\n' : ',';
  }
  return out;
}

}  // namespace brakeward::report
