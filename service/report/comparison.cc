#include "report/comparison.h"

#include <algorithm>
#include <cmath>

#include "document/text.h"
#include "report/markdown_text.h"
#include "report/order.h"
#include "report/summary.h"
#include "report/table.h"
#include "report/terminal_parts.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"
#include "verdict/tolerance.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::ComparedMeasure;
using verdict::concat;
using verdict::HardwareComparison;

constexpr size_t kMostBytes = 1200;
constexpr size_t kMostChanges = 12;
constexpr const char* kHeads[] = {"scenario",       "measure",    "old on old", "by hardware",
                                  "by calibration", "new on new", "tolerance"};

// The greater of the two changes in shares of the tolerance; what has none, or comes and goes, counts as much
// as can be where it changes.
double weight_of(const ComparedMeasure& m) {
  const bool comes_or_goes = m.old_on_old.has_value() != m.old_on_new.has_value() ||
                             m.old_on_new.has_value() != m.new_on_new.has_value();
  if (comes_or_goes) return verdict::kNothingAllowed;
  if (!m.tolerance || !m.by_hardware() || !m.by_calibration()) return 0;
  const double greatest = std::max(std::fabs(*m.by_hardware()), std::fabs(*m.by_calibration()));
  if (greatest <= 0) return 0;
  return *m.tolerance > 0 ? greatest / *m.tolerance : verdict::kNothingAllowed;
}

struct Row {
  const verdict::ComparedScenario* scenario;
  const ComparedMeasure* measure;
  double weight;
};

struct Shown {
  std::vector<Row> rows;
  size_t hidden = 0;
};

Shown shown_of(const HardwareComparison& c, bool all) {
  Shown out;
  for (const auto& s : c.scenarios)
    for (const ComparedMeasure& m : s.measures) {
      const double weight = weight_of(m);
      if (all || weight >= kComparedShown)
        out.rows.push_back({&s, &m, weight});
      else
        ++out.hidden;
    }
  std::stable_sort(out.rows.begin(), out.rows.end(),
                   [](const Row& a, const Row& b) { return a.weight > b.weight; });
  return out;
}

std::vector<std::string> cells_of(const Row& row) {
  const MeasureForm form = form_of(row.measure->measure);
  const auto value = [&](const std::optional<double>& x) {
    return x ? verdict::with_unit(verdict::format_number(*x, form.decimals), form.unit) : "-";
  };
  const auto change = [&](const std::optional<double>& x) {
    return x ? verdict::with_unit_of_change(verdict::format_signed(*x, form.decimals), form.unit) : "-";
  };
  const auto tolerance = row.measure->tolerance;
  return {row.scenario->scenario,
          row.measure->measure,
          value(row.measure->old_on_old),
          change(row.measure->by_hardware()),
          change(row.measure->by_calibration()),
          value(row.measure->new_on_new),
          tolerance
              ? verdict::with_unit_of_change(verdict::format_number(*tolerance, form.decimals), form.unit)
              : "-"};
}

// How often a part is beyond the tolerance.
struct Tally {
  size_t hardware = 0, calibration = 0, together = 0;
};

Tally tally_of(const HardwareComparison& c) {
  Tally out;
  const auto beyond = [](const std::optional<double>& change, const std::optional<double>& tolerance) {
    return change && tolerance && std::fabs(*change) > *tolerance;
  };
  for (const auto& s : c.scenarios)
    for (const ComparedMeasure& m : s.measures) {
      out.hardware += beyond(m.by_hardware(), m.tolerance);
      out.calibration += beyond(m.by_calibration(), m.tolerance);
      out.together += beyond(m.together(), m.tolerance);
    }
  return out;
}

std::string tally_line(const HardwareComparison& c) {
  const Tally t = tally_of(c);
  return concat("moved by more than the tolerance for one change: ", counted(t.hardware, "measure"),
                " by the hardware, ", t.calibration, " by the calibration, ", t.together,
                " by both together");
}

constexpr std::string_view kHidden = "moved by less than half of the tolerance";

constexpr std::string_view kLegend =
    "By hardware: the old calibration on the new car less on the old one. By calibration: the new "
    "calibration less "
    "the old one, both on the new car. Their sum is the whole difference. What a recorded driver would have "
    "done on "
    "another car is not known: distances of recorded stops compare cars, not drivers.";

std::string document_line(const char* label, const verdict::ComparedDocument& before,
                          const verdict::ComparedDocument& after) {
  const auto one = [](const verdict::ComparedDocument& d) {
    return concat(document::clean(d.name), "  (sha256 ", d.sha256.substr(0, kHashDigits), ")");
  };
  return concat(label, one(before), " -> ", one(after), "\n");
}

std::string changes_lines(const char* what, const std::vector<verdict::CalibrationChange>& changes) {
  if (changes.empty()) return concat("no ", what, " changes\n");
  std::string text = concat(what, " changes:\n");
  for (size_t i = 0; i < std::min(changes.size(), kMostChanges); ++i)
    append(text, "  ", document::clean(changes[i].address), ": ", document::clean(changes[i].before), " -> ",
           document::clean(changes[i].after), "\n");
  if (changes.size() > kMostChanges)
    append(text, "  and ", counted(changes.size() - kMostChanges, "more value"),
           "; `brakeward diff` shows them\n");
  return text;
}

std::string broken_lines(const HardwareComparison& c) {
  std::string text;
  for (const auto& s : c.scenarios)
    if (!s.reason.empty()) append(text, document::clean(s.scenario), ": ", document::clean(s.reason), "\n");
  return text;
}

}  // namespace

std::string render_comparison(const HardwareComparison& c, bool all, const TerminalOptions& options) {
  std::string text =
      concat(document_line("vehicle      ", c.old_vehicle, c.new_vehicle),
             document_line("calibration  ", c.old_calibration, c.new_calibration), "library      ",
             document::clean(c.library_name), ", tier ", word(c.tier), ", numerics version ",
             c.numerics_version, "\n\n", changes_lines("hardware", c.vehicle_changes),
             changes_lines("calibration", c.calibration_changes), "\n");
  Table table({{}, {}, {true}, {true}, {true}, {true}, {true}});
  table.add({std::begin(kHeads), std::end(kHeads)});
  const Shown shown = shown_of(c, all);
  for (const Row& row : shown.rows) {
    std::vector<std::string> cells = cells_of(row);
    for (std::string& cell : cells) cell = document::clean(cell);
    table.add(std::move(cells));
  }
  return concat(text, table.text(), broken_lines(c), hidden_line(shown.hidden, kHidden), "\n",
                paragraph("", kLegend, options), "\n", tally_line(c), "\n",
                paragraph("", verdict::caution(), options));
}

std::string render_comparison_markdown(const HardwareComparison& c, bool all) {
  const auto safe = [](std::string_view x) { return markdown(x, kMostBytes); };
  std::string text = concat(
      "## Hardware and calibration changed: ", safe(c.library_name), "\n\n- ", tally_line(c), "\n- vehicle ",
      safe(c.old_vehicle.name), ", SHA-256 ", c.old_vehicle.sha256.substr(0, kHashDigits), " to ",
      c.new_vehicle.sha256.substr(0, kHashDigits), ": ", counted(c.vehicle_changes.size(), "value"),
      "\n- calibration ", safe(c.old_calibration.name), " to ", safe(c.new_calibration.name), ": ",
      counted(c.calibration_changes.size(), "value"), "\n\n|");
  for (const char* head : kHeads) append(text, " ", head, " |");
  text += "\n| --- | --- | ---: | ---: | ---: | ---: | ---: |\n";
  const Shown shown = shown_of(c, all);
  for (const Row& row : shown.rows) {
    text += "|";
    for (const std::string& cell : cells_of(row)) append(text, " ", safe(cell), " |");
    text += "\n";
  }
  for (const auto& s : c.scenarios)
    if (!s.reason.empty()) append(text, "\n- ", safe(s.scenario), ": ", safe(s.reason), "\n");
  if (shown.hidden > 0) append(text, "\n", hidden_line(shown.hidden, kHidden));
  return concat(text, "\n", kLegend, "\n\n> **Caution.** ", verdict::caution(), "\n");
}

}  // namespace brakeward::report
