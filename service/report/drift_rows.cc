#include "report/drift_rows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

#include "document/text.h"
#include "report/drift.h"
#include "report/order.h"
#include "report/summary.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::Drift;
using verdict::DriftSeries;
using verdict::Verdict;

// "+42 %"; beyond `bound` shares of the tolerance it never reads as the bound itself.
std::string percent(const std::optional<double>& share, double bound) {
  if (!share) return "-";
  if (std::fabs(*share) >= verdict::kNothingAllowed) return "none allowed";
  if (std::fabs(*share) <= bound) return concat(verdict::format_signed(100 * *share, 0), " %");
  const auto printed = verdict::format_apart(100 * std::fabs(*share), 100 * bound, 0);
  return concat(*share < 0 ? "-" : "+", printed.value, " %");
}

std::string amount(const DriftSeries& s, const std::optional<double>& value) {
  if (!value) return "-";
  const MeasureForm form = form_of(s.measure);
  return verdict::with_unit_of_change(verdict::format_number(*value, form.decimals), form.unit);
}

}  // namespace

double drift_in_tolerances(const DriftSeries& s) {
  if (!s.tolerance || !s.drift_tolerance || *s.tolerance <= 0) return 1;
  return *s.drift_tolerance / *s.tolerance;
}

std::vector<const DriftSeries*> ordered_series(const Drift& drift) {
  std::vector<const DriftSeries*> out;
  for (const DriftSeries& s : drift.series) out.push_back(&s);
  const auto key = [](const DriftSeries* s) {
    return std::tuple(-static_cast<int>(s->verdict), -s->drift_used.value_or(0),
                      std::string_view(s->scenario));
  };
  std::stable_sort(out.begin(), out.end(), [&](const auto* a, const auto* b) { return key(a) < key(b); });
  return out;
}

bool is_shown(const DriftSeries& s) {
  return s.verdict != Verdict::kPass || s.drift_used.value_or(0) >= kDriftShown;
}

std::vector<std::string> drift_heads(const Drift& drift) {
  std::vector<std::string> cells = {"scenario", "measure", "tolerance"};
  for (size_t i = 1; i < drift.builds.size(); ++i) cells.push_back(document::clean(drift.builds[i].name));
  for (const char* c : {"sum", "allowed drift", "used", "verdict"}) cells.emplace_back(c);
  return cells;
}

std::vector<std::string> drift_cells(const DriftSeries& s, size_t builds) {
  std::vector<std::string> cells = {document::clean(s.scenario),
                                    s.measure.empty() ? "the scenario itself" : document::clean(s.measure),
                                    amount(s, s.tolerance)};
  for (size_t i = 1; i < builds; ++i) cells.push_back(i < s.steps.size() ? percent(s.steps[i].step, 1) : "-");
  cells.push_back(percent(s.sum, drift_in_tolerances(s)));
  cells.push_back(amount(s, s.drift_tolerance));
  cells.push_back(s.drift_used ? verdict::format_share(*s.drift_used) : "-");
  cells.emplace_back(word(s.verdict));
  return cells;
}

std::string drift_tally(const Drift& drift) {
  std::array<size_t, 5> count{};
  for (const DriftSeries& s : drift.series) ++count[static_cast<size_t>(s.verdict)];
  std::string text =
      counted(drift.series.size(), "measure") + " over " + counted(drift.builds.size(), "build") + ":";
  const char* comma = " ";
  for (const Verdict v : kGravestFirst) {
    const size_t n = count[static_cast<size_t>(v)];
    if (n == 0 && v != Verdict::kFail && v != Verdict::kPass) continue;
    append(text, comma, n, " ", word(v));
    comma = ", ";
  }
  return concat(text, "; ", drift.not_judged, " not judged, without a tolerance or a value");
}

}  // namespace brakeward::report
