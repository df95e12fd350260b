#include <algorithm>

#include "absl/status/status.h"
#include "recording/channels.h"
#include "recording/rows.h"
#include "recording/time_base.h"

namespace brakeward::recording {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

// Tells what is no text to read lines from.
bool check_text(std::string_view text, Findings& findings) {
  if (text.size() > kLargestFileBytes) {
    findings.fault("holds ", text.size(), " bytes, more than ", kLargestFileBytes,
                   " (1 GiB): cut it into shorter logs");
  } else if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
    findings.fault("is encoded as UTF-16: save it as UTF-8");
  } else if (const size_t nul = text.find('\0'); nul != std::string_view::npos) {
    findings.fault("line ", 1 + std::count(text.begin(), text.begin() + static_cast<ptrdiff_t>(nul), '\n'),
                   ": holds a zero byte: not a text file");
  } else if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    findings.fault("is empty: a header line and samples are needed");
  } else if (text.find('\n') == std::string_view::npos && text.find('\r') != std::string_view::npos) {
    findings.fault("lines end in a lone carriage return: save it with LF or CRLF line ends");
  } else {
    return true;
  }
  return false;
}

// The first line that is not blank.
std::string_view header_line(Lines& lines) {
  std::string_view line;
  while (lines.next(line) && line.find_first_not_of(" \t") == std::string_view::npos) {
  }
  return line;
}

void check_length(const Rows& rows, Findings& findings) {
  if (rows.time.size() >= 2 || !findings.sound()) return;
  findings.fault("holds ", rows.time.empty() ? "a header but no samples" : "one sample",
                 ": at least two are needed");
}

Log make_log(Rows rows, const Columns& columns, std::vector<double> time_s, Findings& findings) {
  Log log;
  log.file = findings.file();
  log.first_time = columns.time.unit->to_base(rows.time[0]);
  for (size_t i = 0; i < columns.channels.size(); ++i) {
    convert(rows.values[i], time_s, columns.channels[i], findings);
    log.signals[static_cast<size_t>(columns.channels[i].signal)] = std::move(rows.values[i]);
  }
  log.time_s = std::move(time_s);
  log.repairs = findings.take_repairs();
  return log;
}

}  // namespace

absl::StatusOr<Log> parse_csv(std::string_view text, std::string_view file, const ChannelMap& map) {
  Findings findings(file);
  if (text.starts_with(kByteOrderMark)) {
    text.remove_prefix(kByteOrderMark.size());
    findings.repair("byte order mark dropped");
  }
  check_map(map, findings);
  if (!check_text(text, findings)) return findings.status();
  Lines lines(text);
  const std::string_view header = header_line(lines);
  const Columns columns = find_columns(header, lines.number(), map, findings);
  if (!findings.sound()) return findings.status();

  Rows rows = read_rows(lines, columns, findings);
  if (!text.ends_with('\n')) {
    findings.repair("line ", lines.number(),
                    ": the last line has no line end: check that the file was not cut off");
  }
  if (lines.carriage_returns() > 0) findings.repair("line ends CRLF accepted");
  check_length(rows, findings);
  drop_repeated_times(rows, columns.time, findings);
  check_length(rows, findings);
  std::vector<double> time_s = seconds(rows, columns.time, map.longest_gap_s, findings);
  for (size_t i = 0; i < columns.channels.size(); ++i) {
    check_range(rows.values[i], rows, columns.channels[i], findings);
    bridge(rows.values[i], rows, time_s, columns.channels[i], map.longest_gap_s, findings);
  }
  if (!findings.sound()) return findings.status();
  Log log = make_log(std::move(rows), columns, std::move(time_s), findings);
  if (!findings.sound()) return findings.status();
  return log;
}

}  // namespace brakeward::recording
