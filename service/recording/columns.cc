#include "recording/columns.h"

#include <algorithm>
#include <cmath>

#include "document/edit_distance.h"
#include "recording/cells.h"

namespace brakeward::recording {
namespace {

constexpr char kDelimiters[] = {',', ';', '\t'};

std::string delimiter_name(char delimiter) {
  return delimiter == '\t' ? std::string("tab") : joined("'", std::string_view(&delimiter, 1), "'");
}

bool may_delimit(std::string_view delimiter) {
  constexpr std::string_view kPossible = ",;\t|:!$%&*/<=>@^_~";
  return delimiter.size() == 1 && kPossible.find(delimiter[0]) != std::string_view::npos;
}

std::vector<std::string> header_names(std::string_view header, char delimiter, bool& closed) {
  std::vector<std::string_view> cells;
  closed = split_cells(header, delimiter, cells);
  std::vector<std::string> names;
  for (std::string_view cell : cells) names.push_back(column_name(cell));
  return names;
}

std::string in_lower_case(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), lower_case);
  return out;
}

// The name nearest to the wanted one, letters compared without case; empty when none is near.
std::string nearest_name(std::string_view wanted, const std::vector<std::string>& names) {
  constexpr size_t kLongest = 200;  // a longer header is no name worth suggesting
  size_t best = std::max<size_t>(2, wanted.size() / 3) + 1;
  std::string nearest;
  for (const std::string& name : names) {
    if (name.empty() || name.size() > kLongest || wanted.size() > kLongest) continue;
    const size_t changes = document::edit_distance(in_lower_case(wanted), in_lower_case(name));
    if (changes >= best) continue;
    best = changes;
    nearest = name;
  }
  return nearest;
}

std::string listed(const std::vector<std::string>& names) {
  constexpr size_t kMost = 40;
  std::string text;
  for (size_t i = 0; i < names.size() && i < kMost; ++i) {
    text += joined(i == 0 ? "" : ", ", in_quotes(names[i]));
  }
  if (names.size() > kMost) text += joined(" and ", names.size() - kMost, " more");
  return text;
}

// Finding columns in one header.
class HeaderReader {
 public:
  HeaderReader(std::vector<std::string> names, size_t line, Findings& findings)
      : names_(std::move(names)), line_(line), findings_(findings) {}

  size_t find(std::string_view column, std::string_view used_for) {
    const auto first = std::find(names_.begin(), names_.end(), column);
    if (first == names_.end()) {
      missing(column, used_for);
      return 0;
    }
    const size_t index = static_cast<size_t>(first - names_.begin());
    const auto second = std::find(first + 1, names_.end(), column);
    if (second != names_.end()) {
      findings_.fault("line ", line_, ": column ", in_quotes(column), " (", used_for,
                      ") stands in the header twice, at ", index + 1, " and ",
                      static_cast<size_t>(second - names_.begin()) + 1, ": rename one of them");
    }
    return index;
  }

 private:
  void missing(std::string_view column, std::string_view used_for) {
    const std::string nearest = nearest_name(column, names_);
    findings_.fault("line ", line_, ": no column ", in_quotes(column), " (", used_for, ")",
                    nearest.empty() ? std::string() : joined("; did you mean ", in_quotes(nearest), "?"),
                    listed_before_ ? std::string() : joined(" The file has: ", listed(names_), hint()));
    listed_before_ = true;
  }

  std::string hint() const {
    const auto number = [](const std::string& name) {
      return read_cell(name, true).kind == CellKind::kNumber;
    };
    if (std::all_of(names_.begin(), names_.end(), number)) {
      return ". The first line holds numbers: add a header line";
    }
    if (names_[0].starts_with('#') || names_[0].starts_with("//")) {
      return ". The header starts like a comment: set header_prefix to the characters before the first name";
    }
    if (names_.size() == 1) {
      return ". The header has one cell: set delimiter to the character between the names, or "
             "delete lines that stand above the header";
    }
    return "";
  }

  std::vector<std::string> names_;
  size_t line_;
  Findings& findings_;
  bool listed_before_ = false;
};

// The delimiter whose header holds the time column; else the one that gives most cells.
char find_delimiter(std::string_view header, const ChannelMap& map) {
  if (may_delimit(map.delimiter)) return map.delimiter[0];
  char best = ',';
  size_t most = 0;
  for (char delimiter : kDelimiters) {
    bool closed = false;
    const std::vector<std::string> names = header_names(header, delimiter, closed);
    const bool has_time = std::find(names.begin(), names.end(), map.time_column) != names.end();
    const size_t worth = names.size() + (closed ? 1 : 0) + (has_time ? header.size() + 1 : 0);
    if (worth <= most) continue;
    most = worth;
    best = delimiter;
  }
  return best;
}

std::string unit_fault(const Channel& channel) {
  const Quantity quantity = facts(channel.signal).quantity;
  std::string text = joined("unit ", in_quotes(channel.unit), " is not a unit of ", quantity_name(quantity),
                            "; accepted: ", accepted_units(quantity));
  const bool turning = channel.unit == "rpm" || channel.unit == "1/min" || channel.unit == "rad/s";
  if (quantity == Quantity::kSpeed && turning) {
    text += joined("; a rotational speed needs unit m/s and the scale rolling radius in m",
                   channel.unit == "rad/s" ? "" : " x 0.1047198");
  }
  return text;
}

void check_channel(const ChannelMap& map, size_t i, Findings& findings) {
  const Channel& channel = map.channels[i];
  const std::string where = joined("channel map, channel ", i + 1, " (", name(channel.signal), "): ");
  if (channel.signal >= Signal::kCount) {
    findings.fault(where, "the signal is not known");
    return;
  }
  if (channel.column.empty()) findings.fault(where, "column is not set");
  if (!channel.column.empty() && channel.column == map.time_column) {
    findings.fault(where, "column ", in_quotes(channel.column), " is the time column too");
  }
  if (find_unit(channel.unit, facts(channel.signal).quantity) == nullptr) {
    findings.fault(where, unit_fault(channel));
  }
  if (!std::isfinite(channel.scale) || channel.scale == 0) {
    findings.fault(where, "scale is ", short_number(channel.scale), "; it must be a number other than 0");
  }
  if (!std::isfinite(channel.offset)) {
    findings.fault(where, "offset is ", short_number(channel.offset), "; it must be finite");
  }
  if (!std::isfinite(channel.delay_s)) {
    findings.fault(where, "delay is ", short_number(channel.delay_s), "; it must be finite");
  }
  for (size_t k = 0; k < i; ++k) {
    const Channel& other = map.channels[k];
    if (other.signal == channel.signal) {
      findings.fault(where, "the signal is mapped already by channel ", k + 1, ": keep one of them");
    }
    if (other.column == channel.column && !channel.column.empty()) {
      findings.fault(where, "column ", in_quotes(channel.column), " is mapped already, to ",
                     name(other.signal), " by channel ", k + 1, ": a column can carry one signal");
    }
  }
}

}  // namespace

void check_map(const ChannelMap& map, Findings& findings) {
  if (map.time_column.empty()) findings.fault("channel map: time_column is not set");
  if (find_unit(map.time_unit, Quantity::kTime) == nullptr) {
    findings.fault("channel map: time_unit ", in_quotes(map.time_unit),
                   " is not a unit of a time; accepted: ", accepted_units(Quantity::kTime));
  }
  if (!map.delimiter.empty() && !may_delimit(map.delimiter)) {
    findings.fault(
        "channel map: delimiter ", in_quotes(map.delimiter),
        " cannot be used; set one character such as ',', ';' or a tab, or leave it empty to find out");
  }
  if (!std::isfinite(map.longest_gap_s) || map.longest_gap_s <= 0) {
    findings.fault("channel map: the longest gap is ", short_number(map.longest_gap_s),
                   " s; it must be above 0");
  }
  if (map.channels.empty()) findings.fault("channel map: no channels are mapped");
  for (size_t i = 0; i < map.channels.size(); ++i) check_channel(map, i, findings);
}

Columns find_columns(std::string_view header, size_t line, const ChannelMap& map, Findings& findings) {
  Columns columns;
  if (!map.header_prefix.empty()) {
    if (!header.starts_with(map.header_prefix)) {
      findings.fault("line ", line, ": the header starts with ",
                     in_quotes(header.substr(0, map.header_prefix.size())), ", not with header_prefix ",
                     in_quotes(map.header_prefix), ": correct or empty header_prefix");
      return columns;
    }
    header.remove_prefix(map.header_prefix.size());
  }
  columns.delimiter = find_delimiter(header, map);
  bool closed = false;
  std::vector<std::string> names = header_names(header, columns.delimiter, closed);
  if (!closed) {
    findings.fault("line ", line, ": a quoted name is not closed, or not followed by the delimiter ",
                   delimiter_name(columns.delimiter));
    return columns;
  }
  columns.count = names.size();
  HeaderReader reader(std::move(names), line, findings);
  columns.time.name = map.time_column;
  columns.time.unit = find_unit(map.time_unit, Quantity::kTime);
  if (!map.time_column.empty()) columns.time.index = reader.find(map.time_column, "time");
  for (const Channel& channel : map.channels) {
    if (channel.column.empty() || channel.signal >= Signal::kCount) continue;
    Column column;
    column.index = reader.find(channel.column, name(channel.signal));
    column.name = channel.column;
    column.unit = find_unit(channel.unit, facts(channel.signal).quantity);
    column.signal = channel.signal;
    column.scale = channel.scale;
    column.offset = channel.offset;
    column.delay_s = channel.delay_s;
    columns.channels.push_back(std::move(column));
  }
  return columns;
}

}  // namespace brakeward::recording
