#include "gate/proposal.h"

#include <map>
#include <span>

#include "document/content_hash.h"
#include "document/defaults.h"
#include "gate/broken.h"
#include "gate/judge.h"
#include "gate/replays.h"
#include "verdict/concat.h"

namespace brakeward::gate {
namespace {

void add_hashes(const scenario::Library& library, const scenario::Loaded<v1::Scenario>& scenario,
                v1::BaselineScenario* out) {
  out->set_scenario_sha256(scenario_sha256(library, scenario));
  out->set_document_sha256(scenario.sha256);
  if (!scenario.message.has_recorded()) return;
  const auto* recording = library.recording_named(scenario.message.recorded().recording());
  out->set_recording_sha256(recording->sha256);
  out->set_recording_file_sha256(recording->file_sha256);
}

// Gives the story of a replay that broke.
std::string add_scenario(const scenario::Library& library, const scenario::Loaded<v1::Scenario>& scenario,
                         const compile::CompiledScenario& compiled, const measure::Folds<double>& folds,
                         const CompiledVariants& variants,
                         std::span<const measure::Folds<double>> variant_folds, v1::Baseline* out) {
  if (broke(folds)) return "scenario " + scenario.message.name() + ": " + broken_story(compiled) + "\n";
  if (const std::string broken = broken_variant(variants, variant_folds); !broken.empty())
    return "scenario " + broken + "\n";
  v1::BaselineScenario* b = out->add_scenarios();
  b->set_scenario(scenario.message.name());
  add_hashes(library, scenario, b);
  const ScenarioValues values = scenario_values(compiled, folds, &variants, variant_folds);
  add_values(values.values, values.spread, b);
  return "";
}

// The campaign's own values and those of each of its faults.
std::string add_campaign(const scenario::Library& library, const CompiledCampaign& campaign,
                         std::span<const measure::Folds<double>> folds, v1::Baseline* out) {
  const v1::Campaign& document = campaign.document->message;
  if (const std::string broken = broken_replay(campaign, folds); !broken.empty())
    return "campaign " + broken + "\n";
  const CampaignValues values = campaign_values(campaign, folds);
  const std::string sha256 = campaign_sha256(library, *campaign.document);
  const auto add = [&](const std::string& name, const WorstValues& worst) {
    v1::BaselineScenario* b = out->add_scenarios();
    b->set_scenario(name);
    b->set_scenario_sha256(sha256);
    b->set_document_sha256(campaign.document->sha256);
    add_values(worst.values, {}, b);
  };
  add(document.name(), values.all);
  for (size_t f = 0; f < values.faults.size(); ++f)
    add(baseline_name(document, document.faults(static_cast<int>(f))), values.faults[f]);
  return "";
}

std::string add_stint(const scenario::Library& library, const CompiledStint& stint,
                      std::span<const replay::LegFolds> folds, v1::Baseline* out) {
  const std::string& name = stint.document->message.name();
  if (const std::string broken = broken_leg(stint, folds); !broken.empty())
    return verdict::concat("stint ", name, ": ", broken, "\n");
  v1::BaselineScenario* b = out->add_scenarios();
  b->set_scenario(name);
  b->set_scenario_sha256(stint_sha256(library, *stint.document));
  b->set_document_sha256(stint.document->sha256);
  add_values(stint_values(stint, folds), {}, b);
  return "";
}

absl::StatusOr<v1::Baseline> head_of_baseline(const Session& s, const ProposalOptions& options) {
  const std::string file = options.run.calibration.string();
  if (!s.library->calibration_hashed(s.candidate.sha256))
    return absl::FailedPreconditionError(
        file +
        ": not a calibration of the library, so that the baseline would not resolve; list it under "
        "calibration_files");
  v1::Baseline out;
  const std::string& own = s.candidate.message.event_build();
  out.set_event_build(options.event_build.empty() ? own : options.event_build);
  if (out.event_build().empty())
    return absl::InvalidArgumentError(file +
                                      ": event_build: empty; name the event build the baseline is for");
  out.set_calibration_sha256(s.candidate.sha256);
  out.set_calibration_name(s.candidate.message.name());
  out.set_vehicle_sha256(s.library->vehicle.sha256);
  out.set_tolerances_sha256(s.library->tolerances.sha256);
  out.set_library_sha256(index_sha256(*s.library));
  out.set_numerics_version(replay::kNumericsVersion);
  if (options.build_sheet.ByteSizeLong() > 0) *out.mutable_build_sheet() = options.build_sheet;
  return out;
}

Session against(const Session& s, const v1::Baseline& proposal) {
  Session out = with_baseline(s, proposal, "the proposal");
  out.reference = out.library->calibration_hashed(proposal.calibration_sha256());
  return out;
}

// "REASON: MEASURES in SCENARIOS", a line for scenarios of which the same measures share a reason.
std::vector<std::string> not_judged_in(const verdict::Run& run) {
  std::map<std::pair<std::string, std::string>, std::string> scenarios;  // by reason and measures
  for (const auto& s : run.scenarios) {
    std::map<std::string, std::string> measures;  // by reason
    std::map<std::string, size_t> count;
    for (const auto& m : s.measures) {
      if (m.verdict != verdict::Verdict::kNone && m.verdict != verdict::Verdict::kInconclusive) continue;
      std::string& list = measures[m.reason];
      list += (list.empty() ? "" : ", ") + m.measure;
      ++count[m.reason];
    }
    for (const auto& [reason, list] : measures) {
      std::string& names = scenarios[{reason, count[reason] == s.measures.size() ? "every measure" : list}];
      names += (names.empty() ? "" : ", ") + s.scenario;
    }
  }
  std::vector<std::string> out;
  for (const auto& [key, names] : scenarios)
    out.push_back(verdict::concat(key.first, ": ", key.second, " in ", names));
  return out;
}

absl::Status compare_with_present(const Options& options, Proposal& out) {
  const auto session = open_session(options);
  if (!session.ok()) return session.status();
  const auto& present = session->library->baseline;
  if (!present) return absl::OkStatus();
  out.baseline.set_compared_with(present->message.event_build());
  if (const absl::Status fits = check_baseline(*session); !fits.ok()) {
    out.why_no_present = std::string(fits.message());
    return absl::OkStatus();
  }
  auto run = check(*session, CheckOptions());
  if (!run.ok()) return run.status();
  out.present = *std::move(run);
  return absl::OkStatus();
}

}  // namespace

absl::Status add_values(const scenario::Library& library, const Replayed& replayed, v1::Baseline* out) {
  const Replays& r = replayed.replays;
  std::string faults;
  for (size_t i = 0; i < r.candidate.size(); ++i)
    faults += add_scenario(library, *r.scenarios[i], r.candidate[i], replayed.folds[i], r.variants[i],
                           replayed.beside(i), out);
  for (size_t i = 0; i < r.campaigns.size(); ++i)
    faults += add_campaign(library, r.campaigns[i], replayed.of_campaign(i), out);
  for (size_t i = 0; i < r.stints.size(); ++i)
    faults += add_stint(library, r.stints[i], replayed.stint_folds[i], out);
  return faults.empty() ? absl::OkStatus() : absl::FailedPreconditionError(faults);
}

absl::StatusOr<std::string> baseline_content_sha256(const v1::Baseline& baseline) {
  v1::Baseline content = baseline;
  content.clear_approved_by();
  content.clear_approved_on();
  content.clear_reason();
  content.clear_accepted_moves();
  content.clear_content_sha256();
  document::resolve_defaults(&content);
  return document::content_sha256(content);
}

absl::StatusOr<Proposal> propose(const ProposalOptions& options) {
  Options all = options.run;
  all.tier = verdict::Tier::kAll;
  Options alone = all;
  alone.load.without_baseline = true;  // delays are timed against the new baseline's own feel curve
  const auto session = open_session(alone);
  if (!session.ok()) return session.status();
  auto baseline = head_of_baseline(*session, options);
  if (!baseline.ok()) return baseline.status();
  Proposal out;
  out.baseline = *std::move(baseline);
  const auto replayed = replay_all(*session, 0);
  if (!replayed.ok()) return replayed.status();
  if (absl::Status status = add_values(*session->library, *replayed, &out.baseline); !status.ok())
    return status;
  auto itself = judge_all(against(*session, out.baseline), *replayed);
  if (!itself.ok()) return itself.status();
  out.itself = *std::move(itself);
  for (std::string& line : not_judged_in(out.itself)) out.baseline.add_not_judged(std::move(line));
  if (absl::Status status = compare_with_present(all, out); !status.ok()) return status;
  const auto content = baseline_content_sha256(out.baseline);
  if (!content.ok()) return content.status();
  out.baseline.set_content_sha256(*content);
  return out;
}

}  // namespace brakeward::gate
