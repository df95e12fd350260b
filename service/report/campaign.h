// A campaign as rows of text, the same in every view that shows a table. Internal to the room.
#pragma once

#include <string>
#include <vector>

#include "verdict/run.h"

namespace brakeward::report {

// Heads of the cells; the verdict has a column of its own behind them.
inline constexpr const char* kCampaignHeads[] = {"fault",   "replays",       "worst onset",   "detected ms",
                                                 "back ms", "unbraked ms",   "unasked ms",    "unasked m/s^2",
                                                 "lost m",  "by hand m/s^2", "by pedal m/s^2"};
inline constexpr size_t kCampaignCells = sizeof(kCampaignHeads) / sizeof(kCampaignHeads[0]);
// Those that hold text; the others are numbers.
inline constexpr bool is_text(size_t cell) {
  return cell == 0 || cell == 2;
}

// What the heads mean, in one sentence.
const char* campaign_legend();

struct CampaignRow {
  std::vector<std::string> cells;  // not escaped
  verdict::Verdict verdict;
};

// One row a fault, in the campaign's order. The worst onset is told without the names of campaign and fault.
std::vector<CampaignRow> campaign_rows(const verdict::ScenarioResult& campaign);

// Scenarios that are campaigns, gravest first.
std::vector<const verdict::ScenarioResult*> campaigns_of(const verdict::Run& run);

// "fault-tolerant time 500 ms".
std::string tolerant_time(const verdict::CampaignResult& campaign);

}  // namespace brakeward::report
