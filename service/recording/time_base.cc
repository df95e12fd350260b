#include "recording/time_base.h"

#include <algorithm>

namespace brakeward::recording {
namespace {

double median(std::vector<double> x) {
  const auto middle = x.begin() + static_cast<ptrdiff_t>(x.size() / 2);
  std::nth_element(x.begin(), middle, x.end());
  return *middle;
}

// The time unit that would give a median step between 1 and 100 ms, or empty.
std::string_view likely_time_unit(double median_in_column_units) {
  for (std::string_view name : {"s", "ms", "us", "ns"}) {
    const double step = find_unit(name, Quantity::kTime)->to_base(median_in_column_units);
    if (step >= 1e-3 && step <= 0.1) return name;
  }
  return "";
}

void report_steps(const std::vector<double>& steps, double middle, double allowed, const Rows& rows,
                  Findings& findings) {
  const auto [shortest, longest] = std::minmax_element(steps.begin(), steps.end());
  if (*shortest >= 0.5 * middle && *longest <= 1.5 * middle) return;
  size_t bridged = 0;
  size_t first = 0;
  for (size_t i = 0; i < steps.size(); ++i) {
    if (steps[i] <= 1.5 * middle || steps[i] > allowed) continue;
    if (bridged++ == 0) first = i;
  }
  std::string more;
  if (bridged > 0) {
    more = joined("; ", counted(bridged, "step"),
                  " longer than 1.5 medians bridged linearly, the first before line ", rows.line[first + 1]);
  }
  findings.repair("time steps spread from ", milliseconds(*shortest), " to ", milliseconds(*longest),
                  " (median ", milliseconds(middle), "); the time stamps are used as written", more);
}

// One fault when the median step does not suit the unit; true then.
bool check_median(double middle, const Column& time, double longest_gap_s, Findings& findings) {
  if (middle >= kShortestMedianStep_s && middle <= longest_gap_s + kTimeSlack_s) return false;
  const std::string_view unit = likely_time_unit(time.unit->from_base(middle));
  const bool other = !unit.empty() && unit != time.unit->name;
  findings.fault("column ", in_quotes(time.name), " (", time.number(), "): the median time step is ",
                 milliseconds(middle), ", outside ", milliseconds(kShortestMedianStep_s),
                 " to the longest gap of ", milliseconds(longest_gap_s), ": ",
                 other ? joined("time_unit is probably ", unit, ", not ", time.unit->name)
                       : std::string("check time_unit and the longest gap"));
  return true;
}

}  // namespace

void drop_repeated_times(Rows& rows, const Column& time, Findings& findings) {
  size_t kept = 0;
  size_t dropped = 0;
  size_t first_line = 0;
  double before = 0;
  for (size_t i = 0; i < rows.time.size(); ++i) {
    const double now = rows.time[i];
    if (i > 0 && now < before) {
      findings.fault(place(rows.line[i], time.name, time.number()), ": time runs back from ",
                     exact_number(before), " to ", exact_number(now), " ", time.unit->name,
                     ": sort the rows or cut the file into one log each");
    }
    if (i > 0 && now == before) {
      if (dropped++ == 0) first_line = rows.line[i];
      continue;
    }
    before = now;
    rows.time[kept] = now;
    rows.line[kept] = rows.line[i];
    for (auto& values : rows.values) values[kept] = values[i];
    ++kept;
  }
  rows.time.resize(kept);
  rows.line.resize(kept);
  for (auto& values : rows.values) values.resize(kept);
  if (dropped > 0) {
    findings.repair(place(first_line, time.name, time.number()), dropped > 1 ? " and on: " : ": ",
                    counted(dropped, "row"), " with the time stamp of the row before dropped");
  }
}

std::vector<double> seconds(const Rows& rows, const Column& time, double longest_gap_s, Findings& findings) {
  const size_t count = rows.time.size();
  std::vector<double> time_s(count);
  for (size_t i = 0; i < count; ++i) time_s[i] = time.unit->to_base(rows.time[i] - rows.time[0]);
  if (count < 2) return time_s;
  std::vector<double> steps(count - 1);
  for (size_t i = 1; i < count; ++i) steps[i - 1] = time.unit->to_base(rows.time[i] - rows.time[i - 1]);
  const double middle = median(steps);
  if (check_median(middle, time, longest_gap_s, findings)) return time_s;
  const double allowed = longest_gap_s + kTimeSlack_s;
  for (size_t i = 0; i < steps.size(); ++i) {
    if (steps[i] > allowed) {
      findings.fault("line ", rows.line[i + 1], ": a gap of ", milliseconds(steps[i]),
                     " in time, longer than the longest gap of ", milliseconds(longest_gap_s),
                     ": cut the log there or allow a longer gap");
    } else if (time_s[i + 1] <= time_s[i] && rows.time[i + 1] > rows.time[i]) {
      findings.fault("line ", rows.line[i + 1],
                     ": the time stamp is too close to the one before to tell them apart");
    }
  }
  report_steps(steps, middle, allowed, rows, findings);
  return time_s;
}

}  // namespace brakeward::recording
