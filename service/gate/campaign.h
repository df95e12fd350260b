// Campaigns in a run: compiled, and from the folds of all their replays to one result. Internal to the gate.
#pragma once

#include <atomic>
#include <span>

#include "gate/session.h"
#include "measure/folds.h"
#include "scenario/campaign.h"

namespace brakeward::gate {

struct CompiledCampaign {
  const scenario::Loaded<v1::Campaign>* document = nullptr;
  std::vector<scenario::CampaignReplay> replays;
  std::vector<compile::CompiledScenario> fault_free;  // one a scenario of the campaign
  std::vector<compile::CompiledScenario> faulted;     // one a replay

  // Fault-free ones first; the folds come in the same order.
  void add_plans(std::vector<const replay::ReplayPlan*>& plans) const;
  size_t count() const { return fault_free.size() + faulted.size(); }
};

// Replays of a campaign, the fault-free ones with them.
std::int64_t count_all_replays(const v1::Campaign& campaign);

// What cannot be compiled is noted with the compiler, of each fault once; the result is then incomplete, as
// it is when the flag was raised.
CompiledCampaign compile_campaign(const Session& session, const scenario::Loaded<v1::Campaign>& campaign,
                                  const v1::Calibration& calibration, const std::atomic<bool>* cancel,
                                  Compiler& compiler);

// The worst values over some replays of a campaign.
struct WorstValues {
  int replays = 0;
  std::vector<measure::MeasureValue> values;  // catalogue order
  std::vector<size_t> shown_in;               // by measure: position of the replay with that value
  size_t worst = 0;                           // position of the worst replay on the whole
};

struct CampaignValues {
  WorstValues all;
  std::vector<WorstValues> faults;  // in the campaign's order
  std::vector<size_t> not_begun;    // replays that were over before the fault began
};

// Of sound folds.
CampaignValues campaign_values(const CompiledCampaign& campaign,
                               std::span<const measure::Folds<double>> folds);

// Every fault against the fault-tolerant time, the limits and the baseline's values of that fault, and all of
// them together against the baseline's values of the campaign.
verdict::ScenarioResult judge_campaign(const Session& session, const CompiledCampaign& campaign,
                                       std::span<const measure::Folds<double>> folds);

// What a baseline calls a campaign's fault.
std::string baseline_name(const v1::Campaign& campaign, const v1::CampaignFault& fault);

// Hash of a campaign with the scenarios it is made of.
std::string campaign_sha256(const scenario::Library& library, const scenario::Loaded<v1::Campaign>& campaign);

// The story of the first replay that broke; empty when all are sound.
std::string broken_replay(const CompiledCampaign& campaign, std::span<const measure::Folds<double>> folds);

}  // namespace brakeward::gate
