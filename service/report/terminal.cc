#include "report/terminal.h"

#include <algorithm>

#include "document/text.h"
#include "report/summary.h"
#include "report/terminal_parts.h"
#include "report/text.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::Run;
using verdict::Verdict;

std::string named(std::string_view label, std::string_view name, std::string_view sha256) {
  std::string text = verdict::concat(label, "  ", document::clean(name));
  if (!sha256.empty())
    verdict::append(text, "  (sha256 ", document::clean(sha256.substr(0, kHashDigits)), ")");
  return text + "\n";
}

std::string header(const Run& run) {
  const std::string baseline =
      run.baseline_event_build.empty() ? "none: changes cannot be judged, limits can" : baseline_label(run);
  return verdict::concat(
      named("candidate", run.calibration_name, run.calibration_sha256), named("baseline ", baseline, ""),
      named("vehicle  ", run.vehicle_name, run.vehicle_sha256), named("library  ", run.library_name, ""),
      run.tier ? named("tier     ", word(*run.tier), "") : "");
}

// Of the terminal's own palette.
std::string_view colour_code(Verdict v) {
  switch (v) {
    case Verdict::kNone:
      return "";
    case Verdict::kPass:
      return "32";  // green
    case Verdict::kInconclusive:
      return "33";  // yellow
    case Verdict::kFail:
      return "1;31";  // bold red
    case Verdict::kError:
      return "1;35";  // bold magenta
  }
  return "";
}

}  // namespace

std::string_view mark(Verdict v) {
  switch (v) {
    case Verdict::kNone:
      return "-";
    case Verdict::kPass:
      return "=";
    case Verdict::kInconclusive:
      return "?";
    case Verdict::kFail:
      return "x";
    case Verdict::kError:
      return "!";
  }
  return "!";
}

std::string paint(std::string_view text, Verdict v, const TerminalOptions& options) {
  const std::string_view code = colour_code(v);
  if (!options.colour || code.empty()) return std::string(text);
  return verdict::concat("\x1b[", code, "m", text, "\x1b[0m");
}

std::string paragraph(std::string_view lead, std::string_view text, const TerminalOptions& options) {
  const size_t indent = width_of(lead);
  std::string result;
  for (const std::string& line : wrap(document::clean(text), std::max(options.width, indent + 20) - indent)) {
    verdict::append(result, result.empty() ? std::string(lead) : std::string(indent, ' '), line, "\n");
  }
  return result;
}

std::string render_terminal(const Run& run, const TerminalOptions& options) {
  std::string text = verdict::concat(header(run), "\n", scenario_table(run, options), "\n");
  for (const std::string& section :
       {campaigns_section(run, options), laps_section(run), not_judged_section(run, options),
        reproduction_section(run), build_sheet_section(run, options)}) {
    if (!section.empty()) verdict::append(text, section, "\n");
  }
  return verdict::concat(text, summary_section(run, options), paragraph("", verdict::caution(), options));
}

}  // namespace brakeward::report
