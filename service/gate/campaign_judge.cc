#include <algorithm>

#include "gate/campaign.h"
#include "gate/judge.h"
#include "verdict/concat.h"
#include "verdict/tolerance.h"

namespace brakeward::gate {
namespace {

using measure::MeasureValue;
using verdict::MeasureResult;
using verdict::Verdict;

constexpr auto kClass = v1::SCENARIO_CLASS_FAULT;
constexpr size_t kMostNamed = 3;

// Those of the document, and where it has one the fault-tolerant time as one more.
std::vector<verdict::Limit> campaign_limits(const v1::Campaign& c) {
  std::vector<verdict::Limit> out = limits_of(c.limits());
  if (!c.has_fault_tolerant_time_ms()) return out;
  const std::string source = verdict::concat("fault-tolerant time: ", c.fault_tolerant_time_source());
  for (const char* measure : {"fault_unbraked_time", "fault_unrequested_time"})
    out.push_back({measure, -verdict::kNoBound, c.fault_tolerant_time_ms(), source});
  return out;
}

// Judges worst values against a baseline's; keeps the measures that a campaign makes, and says in which
// replay those that do not pass were seen.
void judge_worst(const Session& session, const CompiledCampaign& campaign, const WorstValues& worst,
                 const std::string& in_baseline, std::vector<verdict::Limit> limits,
                 verdict::ScenarioResult& result) {
  judge_aggregate(session, kClass, in_baseline, worst.values, std::move(limits), result);
  for (MeasureResult& m : result.measures) {
    const auto found = measure::find_measure(m.measure);
    if (m.verdict < Verdict::kInconclusive || !found || !shows(worst.values, m.measure)) continue;
    const auto at = static_cast<size_t>(*found);
    if (!m.measure.ends_with("_share"))
      m.reason += "; worst in " + campaign.replays[worst.shown_in[at]].name;
    else if (result.scenario.find('/') != std::string::npos)
      m.reason += "; in " + result.scenario;
  }
}

verdict::FaultResult judge_fault(const Session& session, const CompiledCampaign& campaign,
                                 const WorstValues& worst, const v1::CampaignFault& fault) {
  const v1::Campaign& document = campaign.document->message;
  // A fault that a limit's measure has nothing to say about is left to the campaign as a whole.
  std::vector<verdict::Limit> limits = campaign_limits(document);
  std::erase_if(limits, [&](const verdict::Limit& l) { return !shows(worst.values, l.measure); });
  verdict::ScenarioResult judged;
  judged.scenario = baseline_name(document, fault);
  judge_worst(session, campaign, worst, judged.scenario, std::move(limits), judged);
  verdict::FaultResult out;
  out.fault = fault.name();
  out.replays = worst.replays;
  out.worst_replay = campaign.replays[worst.worst].name;
  out.verdict = judged.verdict;
  out.reason = judged.reason;
  out.measures = std::move(judged.measures);
  return out;
}

// A fault alone may be judged graver than all of them together: another one hides it there.
void raise(const MeasureResult& of_fault, MeasureResult& m) {
  const double used = of_fault.tolerance_used.value_or(-verdict::kNothingAllowed);
  const bool graver = of_fault.verdict > m.verdict;
  const bool as_grave = of_fault.verdict == m.verdict && of_fault.verdict > Verdict::kPass &&
                        used > m.tolerance_used.value_or(-verdict::kNothingAllowed);
  if (!graver && !as_grave) return;
  m.verdict = of_fault.verdict;
  m.reason = of_fault.reason;
  if (of_fault.tolerance_used) m.tolerance_used = of_fault.tolerance_used;
}

void raise(const std::vector<verdict::FaultResult>& faults, verdict::ScenarioResult& result) {
  for (const verdict::FaultResult& fault : faults) {
    result.verdict = verdict::worst(result.verdict, fault.verdict);
    for (const MeasureResult& of_fault : fault.measures)
      for (MeasureResult& m : result.measures)
        if (m.measure == of_fault.measure) raise(of_fault, m);
  }
}

// Replays that show nothing of the fault leave the campaign inconclusive.
void tell_not_begun(const CompiledCampaign& campaign, const std::vector<size_t>& not_begun,
                    verdict::ScenarioResult& result) {
  if (not_begun.empty()) return;
  std::string names;
  for (size_t i = 0; i < std::min(not_begun.size(), kMostNamed); ++i)
    verdict::append(names, i == 0 ? "" : ", ", campaign.replays[not_begun[i]].name);
  verdict::append(result.reason, result.reason.empty() ? "" : "; ", "in ", not_begun.size(), " of ",
                  campaign.replays.size(),
                  " replays the fault never began, because the replay was over before (", names,
                  not_begun.size() > kMostNamed ? ", ..." : "", "); earlier onsets would settle it");
  result.verdict = verdict::worst(result.verdict, Verdict::kInconclusive);
}

}  // namespace

verdict::ScenarioResult judge_campaign(const Session& session, const CompiledCampaign& campaign,
                                       std::span<const measure::Folds<double>> folds) {
  const v1::Campaign& document = campaign.document->message;
  verdict::ScenarioResult result;
  result.scenario = document.name();
  result.scenario_class = scenario::class_word(kClass);
  result.tier = tier_of(document.tier());
  verdict::CampaignResult& shown = result.campaign.emplace();
  if (document.has_fault_tolerant_time_ms()) shown.fault_tolerant_time_ms = document.fault_tolerant_time_ms();
  if (std::string broken = broken_replay(campaign, folds); !broken.empty()) {
    result.verdict = Verdict::kError;
    result.reason = std::move(broken);
    return result;
  }
  const CampaignValues values = campaign_values(campaign, folds);
  judge_worst(session, campaign, values.all, document.name(), campaign_limits(document), result);
  for (size_t f = 0; f < values.faults.size(); ++f)
    shown.faults.push_back(
        judge_fault(session, campaign, values.faults[f], document.faults(static_cast<int>(f))));
  raise(shown.faults, result);
  tell_not_begun(campaign, values.not_begun, result);
  return result;
}

}  // namespace brakeward::gate
