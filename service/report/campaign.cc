#include "report/campaign.h"

#include "report/order.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::FaultResult;

std::string number(const FaultResult& fault, std::string_view measure) {
  const auto* m = measure_named(fault.measures, measure);
  return m && m->value ? verdict::format_number(*m->value, form_of(measure).decimals) : "-";
}

// The worst of those that came, and how many never did.
std::string time_or_never(const FaultResult& fault, std::string_view measure, std::string_view never_share) {
  const std::string time = number(fault, measure);
  const auto* never = measure_named(fault.measures, never_share);
  if (!never || !never->value || *never->value <= 0) return time;
  const std::string share = verdict::format_number(*never->value, 0);
  return time == "-" ? verdict::concat("never in ", share, " %")
                     : verdict::concat(time, ", never in ", share, " %");
}

// "CAMPAIGN/FAULT/SCENARIO@+0.250s" without what the row and its table say already.
std::string onset_of(const verdict::ScenarioResult& campaign, const FaultResult& fault) {
  const std::string known = verdict::concat(campaign.scenario, "/", fault.fault, "/");
  return fault.worst_replay.starts_with(known) ? fault.worst_replay.substr(known.size()) : fault.worst_replay;
}

}  // namespace

const char* campaign_legend() {
  return "Worst values over the replays of each fault. Detected: from the start of the fault until the "
         "controller "
         "leaves ready, which is what the driver is shown. Back: from its end until the controller is ready "
         "again. "
         "Unasked: braking without a request. Lost: distance against the same replay without the fault. By "
         "hand, by "
         "pedal: greatest deceleration left while the fault lasts, by what the driver brakes with.";
}

std::vector<CampaignRow> campaign_rows(const verdict::ScenarioResult& campaign) {
  std::vector<CampaignRow> rows;
  if (!campaign.campaign) return rows;
  for (const FaultResult& f : campaign.campaign->faults)
    rows.push_back({{f.fault, std::to_string(f.replays), onset_of(campaign, f),
                     time_or_never(f, "fault_detection_time", "fault_undetected_share"),
                     time_or_never(f, "fault_recovery_time", "fault_unrecovered_share"),
                     number(f, "fault_unbraked_time"), number(f, "fault_unrequested_time"),
                     number(f, "fault_unrequested_deceleration"),
                     time_or_never(f, "fault_lost_distance", "fault_unstopped_share"),
                     number(f, "fault_hand_deceleration"), number(f, "fault_pedal_deceleration")},
                    f.verdict});
  return rows;
}

std::vector<const verdict::ScenarioResult*> campaigns_of(const verdict::Run& run) {
  std::vector<const verdict::ScenarioResult*> out = ordered_scenarios(run);
  std::erase_if(out, [](const auto* s) { return !s->campaign.has_value(); });
  return out;
}

std::string tolerant_time(const verdict::CampaignResult& campaign) {
  if (!campaign.fault_tolerant_time_ms) return "double faults, not judged by a fault-tolerant time";
  return verdict::concat(
      "fault-tolerant time ",
      verdict::with_unit(verdict::format_number(*campaign.fault_tolerant_time_ms, 0), "ms"));
}

}  // namespace brakeward::report
