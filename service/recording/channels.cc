#include "recording/channels.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "recording/interpolate.h"
#include "recording/time_base.h"

namespace brakeward::recording {
namespace {

// A number in the column's unit: "1000 bar"; a ratio of unit 1 stands alone.
std::string with_unit(double x, std::string_view unit) {
  return unit == "1" ? short_number(x) : joined(short_number(x), " ", unit);
}

}  // namespace

void check_range(const std::vector<double>& values, const Rows& rows, const Column& column,
                 Findings& findings) {
  const SignalFacts& range = facts(column.signal);
  const Unit& unit = *column.unit;
  size_t outside = 0;
  size_t first = 0;
  double least = std::numeric_limits<double>::infinity();
  double greatest = -std::numeric_limits<double>::infinity();
  for (size_t i = 0; i < values.size(); ++i) {
    if (!std::isfinite(values[i])) continue;
    const double scaled = (values[i] + column.offset) * column.scale;
    const double x = unit.to_base(scaled);
    least = std::min(least, scaled);
    greatest = std::max(greatest, scaled);
    if (x >= range.least && x <= range.greatest) continue;
    if (outside++ == 0) first = i;
  }
  if (outside == 0) return;
  const double scaled = (values[first] + column.offset) * column.scale;
  const bool changed = scaled != values[first];
  const std::string others = fitting_units(column.signal, unit, least, greatest);
  findings.fault(place(rows.line[first], column.name, column.number()), ": ", range.name, " ",
                 with_unit(scaled, unit.name),
                 changed ? joined(" (", short_number(values[first]), " in the file)") : std::string(),
                 " is outside the plausible ", short_number(unit.from_base(range.least)), " to ",
                 with_unit(unit.from_base(range.greatest), unit.name), ", in ", counted(outside, "cell"),
                 ": check unit, scale and offset",
                 others.empty() ? std::string() : joined(" (perhaps the unit is ", others, ")"),
                 ", or empty the cells of a sensor fault");
}

void bridge(std::vector<double>& values, const Rows& rows, const std::vector<double>& time_s,
            const Column& column, double longest_gap_s, Findings& findings) {
  const size_t count = values.size();
  size_t bridged = 0;
  size_t first_line = 0;
  for (size_t i = 0; i < count; ++i) {
    if (!std::isnan(values[i])) continue;
    size_t end = i;  // first value after the run
    while (end < count && std::isnan(values[end])) ++end;
    if (i == 0 && end == count) {
      findings.fault("column ", in_quotes(column.name), " (", column.number(), "): holds no value for ",
                     name(column.signal), ": leave the channel out of the map");
      return;
    }
    const size_t left = i == 0 ? end : i - 1;
    const size_t right = end == count ? left : end;
    const double lasts_s = time_s[end == count ? count - 1 : end] - time_s[i == 0 ? 0 : i - 1];
    if (end - i > 1 && lasts_s > longest_gap_s + kTimeSlack_s) {
      findings.fault(place(rows.line[i], column.name, column.number()), ": no value up to line ",
                     rows.line[end - 1], " (", counted(end - i, "cell"), ", ", milliseconds(lasts_s),
                     "), longer than the longest gap of ", milliseconds(longest_gap_s),
                     ": cut the log there or allow a longer gap");
    }
    if (bridged == 0) first_line = rows.line[i];
    bridged += end - i;
    for (size_t k = i; k < end; ++k) {
      const double share = left == right ? 0 : (time_s[k] - time_s[left]) / (time_s[right] - time_s[left]);
      values[k] = values[left] + (values[right] - values[left]) * share;
    }
    i = end;
  }
  if (bridged > 0) {
    findings.repair(place(first_line, column.name, column.number()), bridged > 1 ? " and on: " : ": ",
                    counted(bridged, "missing cell"), " bridged linearly");
  }
}

void convert(std::vector<double>& values, const std::vector<double>& time_s, const Column& column,
             Findings& findings) {
  for (double& x : values) x = column.unit->to_base((x + column.offset) * column.scale);
  if (column.delay_s == 0) return;
  const double length = std::fabs(column.delay_s);
  if (length >= time_s.back()) {
    findings.fault("column ", in_quotes(column.name), " (", column.number(), "): the delay of ",
                   milliseconds(column.delay_s), " is not shorter than the log (",
                   milliseconds(time_s.back()), ")");
    return;
  }
  std::vector<double> moved(values.size());
  Interpolator logged(time_s, values);
  for (size_t i = 0; i < moved.size(); ++i) moved[i] = logged.at(time_s[i] + column.delay_s);
  values = std::move(moved);
  const bool earlier = column.delay_s > 0;
  findings.repair("column ", in_quotes(column.name), " (", column.number(), "): moved ",
                  earlier ? "earlier" : "later", " by ", milliseconds(length), "; its ",
                  earlier ? "last " : "first ", milliseconds(length), " hold the ",
                  earlier ? "last" : "first", " value");
}

}  // namespace brakeward::recording
