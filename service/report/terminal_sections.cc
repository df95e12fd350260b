#include <algorithm>
#include <vector>

#include "document/text.h"
#include "report/campaign.h"
#include "report/order.h"
#include "report/stint.h"
#include "report/summary.h"
#include "report/table.h"
#include "report/terminal_parts.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::Run;
using verdict::ScenarioResult;
using verdict::Verdict;

constexpr size_t kMostReasons = 8;

// "rated deceleration 0.95, pressure 0.98, speed not".
std::string ratings_of(const verdict::Reproduction& r) {
  std::string text;
  for (const verdict::ChannelRating& c : r.channels)
    verdict::append(text, text.empty() ? "rated " : ", ", document::clean(c.channel), " ",
                    c.rating ? verdict::format_number(*c.rating, 2) : "not");
  return text;
}

}  // namespace

std::string campaigns_section(const Run& run, const TerminalOptions& options) {
  std::string text;
  for (const ScenarioResult* s : campaigns_of(run)) {
    std::vector<Column> layout;
    std::vector<std::string> heads;
    for (size_t i = 0; i < kCampaignCells; ++i) {
      layout.push_back({!is_text(i)});
      heads.emplace_back(kCampaignHeads[i]);
    }
    layout.emplace_back();
    heads.emplace_back("verdict");
    Table table(layout);
    table.add(heads);
    const std::vector<CampaignRow> rows = campaign_rows(*s);
    for (const CampaignRow& row : rows) {
      std::vector<std::string> cells;
      for (const std::string& cell : row.cells) cells.push_back(document::clean(cell));
      cells.push_back(paint(word(row.verdict), row.verdict, options));
      table.add(std::move(cells));
    }
    verdict::append(text, "campaign ", document::clean(s->scenario), ", ", tolerant_time(*s->campaign),
                    ":\n  ", table.line(0), "\n");
    for (size_t i = 0; i < rows.size(); ++i)
      verdict::append(text, paint(mark(rows[i].verdict), rows[i].verdict, options), " ", table.line(i + 1),
                      "\n");
  }
  return text;
}

std::string laps_section(const Run& run) {
  std::string text;
  for (const ScenarioResult* s : stints_of(run)) {
    std::vector<Column> layout;
    std::vector<std::string> heads;
    for (size_t i = 0; i < kStintCells; ++i) {
      layout.push_back({!is_stint_text(i)});
      heads.emplace_back(kStintHeads[i]);
    }
    Table table(layout);
    table.add(heads);
    const auto rows = stint_rows(*s->stint, kStintLapsShown);
    for (const auto& row : rows) table.add(row);
    verdict::append(text, "stint ", document::clean(s->scenario), ", ", s->stint->laps.size(), " laps:\n");
    for (size_t i = 0; i <= rows.size(); ++i) verdict::append(text, "  ", table.line(i), "\n");
  }
  return text;
}

std::string build_sheet_section(const Run& run, const TerminalOptions& options) {
  if (run.build_sheet.empty()) return "";
  std::string text = "fitted to the car:\n";
  for (const verdict::BuildSheetLine& line : run.build_sheet)
    text += paragraph("  - ", verdict::concat(line.field, ": ", line.value), options);
  if (run.build_sheet_differences.empty()) return text;
  text += "fitted otherwise when it was recorded:\n";
  for (const verdict::BuildSheetDifference& d : run.build_sheet_differences)
    text += paragraph("  - ", sentence_of(d, [](const std::string& x) { return x; }), options);
  return text;
}

std::string not_judged_section(const Run& run, const TerminalOptions& options) {
  const std::vector<ReasonGroup> groups = groups_by_reason(run, Verdict::kNone);
  if (groups.empty()) return "";
  std::string text = "measures not judged (none):\n";
  for (size_t i = 0; i < std::min(groups.size(), kMostReasons); ++i) {
    const ReasonGroup& group = groups[i];
    text += paragraph("  - ", verdict::concat(group.measures, " in ", place_of(group), ": ", group.reason),
                      options);
  }
  if (groups.size() > kMostReasons) {
    verdict::append(text, "  - and ", counted(groups.size() - kMostReasons, "more reason"),
                    "; the JSON has them all\n");
  }
  return text;
}

std::string reproduction_section(const Run& run) {
  Table table({{}, {}});
  for (const ScenarioResult* s : ordered_scenarios(run)) {
    if (!s->reproduction) continue;
    const verdict::Reproduction& r = *s->reproduction;
    std::string how =
        verdict::concat(verdict::format_number(r.deceleration_rms_mps2, 2), " m/s^2 rms, departure ",
                        verdict::format_number(r.longest_departure_s, 2), " s");
    if (r.pressure_rms_bar) {
      verdict::append(how, ", ", verdict::format_number(*r.pressure_rms_bar, 1), " bar rms");
    }
    verdict::append(how, ", under ", document::clean(r.calibration_name));
    table.add({"  " + document::clean(s->scenario), std::move(how)});
    if (!r.channels.empty()) table.add({"", ratings_of(r)});
  }
  const std::string text = table.text();
  return text.empty() ? ""
                      : "the calibration on the car against its recording (departure: longest time more than "
                        "0.5 m/s^2 apart;\nrated after ISO/TS 18571, 1 is best):\n" +
                            text;
}

std::string summary_section(const Run& run, const TerminalOptions& options) {
  std::string text = verdict::concat(scenario_tally(run), "\n", measure_tally(run), "\n");
  if (run.replayed_s > 0) {
    verdict::append(text, "replayed ", verdict::format_number(run.replayed_s, 1), " s of driving in ",
                    verdict::format_number(run.duration_s, 2), " s, numerics version ", run.numerics_version,
                    "\n");
  }
  if (run.state != verdict::RunState::kCompleted) {
    verdict::append(text, "the run is not complete: ", word(run.state), "\n");
  }
  const std::string line = verdict::concat(mark(run.verdict), " verdict: ", word(run.verdict));
  return verdict::concat(text, paint(line, run.verdict, options), "\n");
}

}  // namespace brakeward::report
