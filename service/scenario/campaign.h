// Campaigns: every fault in every scenario at every onset, spelt out.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "scenario/library.h"

namespace brakeward::scenario {

// Most replays of a campaign; counted before any of them is spelt out.
inline constexpr std::int64_t kMostCampaignReplays = 5000;

// One time of onset.
struct Onset {
  bool from_request = true;  // counted from the first onset of the request, else from the start of the replay
  double at_s = 0;
};

// One replay of a campaign.
struct CampaignReplay {
  std::string name;     // CAMPAIGN/FAULT/SCENARIO@+0.250s, or @1.250s from the start of the replay
  size_t scenario = 0;  // position in the campaign's list
  size_t fault = 0;     // position in the campaign's list
  Onset onset;
};

// Faults x scenarios x onsets, each as often as the campaign says; for documents within their schema.
std::int64_t count_replays(const v1::Campaign& campaign);

// The onsets in the campaign's order.
std::vector<Onset> onsets_of(const v1::Campaign& campaign);

// Faults in the campaign's order, of each its scenarios, of each the onsets.
std::vector<CampaignReplay> expand(const v1::Campaign& campaign);

// The scenario of a replay: the base with the fault's times counted from `onset_s` of the replay.
Loaded<v1::Scenario> with_fault(const Loaded<v1::Scenario>& base, const v1::CampaignFault& fault,
                                const std::string& name, double onset_s);

// Adds every fault of a campaign that shows beside the rest of the library; names that hold what parts the
// name of a replay, scenarios that are not there or cannot be used, faults, onsets, too many replays.
void check_campaign(const Library& library, const Loaded<v1::Campaign>& campaign, document::Faults& faults);

}  // namespace brakeward::scenario
