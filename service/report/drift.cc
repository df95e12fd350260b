#include "report/drift.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

#include "document/text.h"
#include "report/markdown_text.h"
#include "report/order.h"
#include "report/summary.h"
#include "report/table.h"
#include "report/terminal_parts.h"
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

constexpr size_t kMostBytes = 1200;

// "+42 %"; beyond `bound` shares of the tolerance it never reads as the bound itself.
std::string percent(const std::optional<double>& share, double bound) {
  if (!share) return "-";
  if (std::fabs(*share) >= verdict::kNothingAllowed) return "none allowed";
  if (std::fabs(*share) <= bound) return concat(verdict::format_signed(100 * *share, 0), " %");
  const auto printed = verdict::format_apart(100 * std::fabs(*share), 100 * bound, 0);
  return concat(*share < 0 ? "-" : "+", printed.value, " %");
}

double drift_in_tolerances(const DriftSeries& s) {
  if (!s.tolerance || !s.drift_tolerance || *s.tolerance <= 0) return 1;
  return *s.drift_tolerance / *s.tolerance;
}

std::string amount(const DriftSeries& s, const std::optional<double>& value) {
  if (!value) return "-";
  const MeasureForm form = form_of(s.measure);
  return verdict::with_unit_of_change(verdict::format_number(*value, form.decimals), form.unit);
}

std::vector<const DriftSeries*> ordered(const Drift& drift) {
  std::vector<const DriftSeries*> out;
  for (const DriftSeries& s : drift.series) out.push_back(&s);
  const auto key = [](const DriftSeries* s) {
    return std::tuple(-static_cast<int>(s->verdict), -s->drift_used.value_or(0),
                      std::string_view(s->scenario));
  };
  std::stable_sort(out.begin(), out.end(), [&](const auto* a, const auto* b) { return key(a) < key(b); });
  return out;
}

bool is_shown(const DriftSeries& s, bool all) {
  return all || s.verdict != Verdict::kPass || s.drift_used.value_or(0) >= kDriftShown;
}

std::vector<std::string> head_cells(const Drift& drift) {
  std::vector<std::string> cells = {"scenario", "measure", "tolerance"};
  for (size_t i = 1; i < drift.builds.size(); ++i) cells.push_back(document::clean(drift.builds[i].name));
  for (const char* c : {"sum", "allowed drift", "used", "verdict"}) cells.emplace_back(c);
  return cells;
}

std::vector<std::string> cells_of(const DriftSeries& s, size_t builds) {
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

std::string tally(const Drift& drift) {
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

constexpr std::string_view kHidden = "used less than half of the drift tolerance";

// What the percentages are.
constexpr std::string_view kLegend =
    "Per build the change from the build before, in percent of the tolerance for one change: positive for "
    "the "
    "worse, or with its sign where either way counts. The sum of a measure of which one way is worse never "
    "falls "
    "below zero: an improvement is no credit for what is lost after it.";

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
  table.add(head_cells(drift));
  std::vector<const DriftSeries*> shown;
  size_t hidden = 0;
  for (const DriftSeries* s : ordered(drift)) {
    if (!is_shown(*s, all)) {
      ++hidden;
      continue;
    }
    shown.push_back(s);
    auto cells = cells_of(*s, drift.builds.size());
    cells.back() = paint(cells.back(), s->verdict, options);
    table.add(std::move(cells));
  }
  append(text, "\n  ", table.line(0), "\n");
  for (size_t i = 0; i < shown.size(); ++i) {
    append(text, paint(mark(shown[i]->verdict), shown[i]->verdict, options), " ", table.line(i + 1), "\n");
    if (!shown[i]->reason.empty())
      text += paragraph(concat("    ", mark(shown[i]->verdict), " "), shown[i]->reason, options);
  }
  append(text, hidden_line(hidden, kHidden), "\n", paragraph("", kLegend, options), "\n", tally(drift), "\n",
         paint(concat(mark(drift.verdict), " drift: ", word(drift.verdict)), drift.verdict, options), "\n");
  return text + paragraph("", verdict::caution(), options);
}

std::string render_drift_markdown(const Drift& drift, bool all) {
  std::string text =
      concat("## Drift of ", markdown(drift.season, kMostBytes), ": ", shown(drift.verdict), "\n\n- ",
             tally(drift), "\n- library ", markdown(drift.library_name, kMostBytes), ", vehicle ",
             markdown(drift.vehicle_name, kMostBytes), ", numerics version ", drift.numerics_version, "\n\n");
  const auto row = [](const std::vector<std::string>& cells) {
    std::string line = "|";
    for (const std::string& c : cells) append(line, " ", markdown(c, kMostBytes), " |");
    return line + "\n";
  };
  const auto head = head_cells(drift);
  text += row(head) + "| --- | --- |";
  for (size_t i = 2; i + 1 < head.size(); ++i) text += " ---: |";
  text += " --- |\n";
  std::string reasons;
  size_t hidden = 0;
  for (const DriftSeries* s : ordered(drift)) {
    if (!is_shown(*s, all)) {
      ++hidden;
      continue;
    }
    text += row(cells_of(*s, drift.builds.size()));
    if (!s->reason.empty())
      append(reasons, "- ", shown(s->verdict), " ", markdown(s->scenario, kMostBytes), ": ",
             markdown(s->reason, kMostBytes), "\n");
  }
  if (!reasons.empty()) append(text, "\n", reasons);
  if (hidden > 0) append(text, "\n", hidden_line(hidden, kHidden));
  return concat(text, "\n", kLegend, "\n\n> **Caution.** ", verdict::caution(), "\n");
}

}  // namespace brakeward::report
