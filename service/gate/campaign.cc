#include "gate/campaign.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "document/schema.h"
#include "document/sha256.h"
#include "gate/broken.h"
#include "measure/measures.h"

namespace brakeward::gate {
namespace {

using measure::MeasureValue;
using Folds = measure::Folds<double>;
using State = MeasureValue::State;

size_t index_of(std::string_view name) {
  return static_cast<size_t>(measure::find_measure(name).value_or(0));
}

double start_of(const scenario::Onset& onset, const compile::CompiledScenario& fault_free) {
  return onset.from_request ? fault_free.context.onset_s + onset.at_s : onset.at_s;
}

// Replays of one scenario have the driver's input in common.
void share_input(const std::shared_ptr<const replay::Input>& input, replay::ReplayPlan& plan) {
  if (plan.input != *input) return;
  plan.shared_input = input;
  plan.input = {};
}

bool stood(const Folds& folds) {
  return folds.speed[2].tick >= 0;
}

// One replay beside its fault-free one.
struct Replay {
  std::vector<MeasureValue> values;  // catalogue order
  bool detected = false, recovered = false, unstopped = false;
  double not_tolerated_ms = 0;  // unbraked or braking unasked beyond the fault-tolerant time, or at all
  double lost_m = 0;

  // Which of two replays is the worse one.
  auto rank() const { return std::tuple(unstopped, not_tolerated_ms, lost_m); }
};

Replay replay_of(const compile::CompiledScenario& faulted, const Folds& folds, const Folds& fault_free,
                 double tolerant_ms) {
  Replay out;
  out.values = measure::make_measures(folds, faulted.context);
  out.detected = folds.detection_tick >= 0;
  out.recovered = folds.recovery_tick >= 0;
  out.unstopped = faulted.context.ends_standing && stood(fault_free) && !stood(folds);
  out.lost_m = folds.last_distance - fault_free.last_distance;
  const double out_of_hand_ms = std::max(out.values[index_of("fault_unbraked_time")].value,
                                         out.values[index_of("fault_unrequested_time")].value);
  out.not_tolerated_ms = std::max(0.0, out_of_hand_ms - tolerant_ms);
  if (!out.detected)
    out.values[index_of("fault_recovery_time")] = {State::kNotApplicable, 0,
                                                   "the controller never left ready"};
  out.values[index_of("fault_lost_distance")] =
      out.unstopped ? MeasureValue{State::kNeverReached, 0, "the car never came to a standstill"}
                    : MeasureValue{State::kMeasured, out.lost_m, {}};
  return out;
}

// A fault that is never noticed is the worst there is. Of the other events those that came count: a request
// that is held to the end never comes back, and how many did not is a measure of its own.
bool outweighs(const measure::MeasureInfo& info, const MeasureValue& a, const MeasureValue& b) {
  const bool never_is_worst = info.name == "fault_detection_time";
  const auto weight = [&](State s) {
    return s == State::kMeasured ? 2 : s == State::kNeverReached ? (never_is_worst ? 3 : 1) : 0;
  };
  if (a.state != b.state) return weight(a.state) > weight(b.state);
  if (a.state != State::kMeasured) return false;
  return info.worse == measure::Worse::kLower ? a.value < b.value : a.value > b.value;
}

WorstValues worst_over(const std::vector<Replay>& replays, size_t first, size_t count) {
  WorstValues out;
  out.replays = static_cast<int>(count);
  out.values.resize(measure::catalogue().size(), {State::kNotApplicable, 0, "made by single replays"});
  out.shown_in.resize(out.values.size(), first);
  out.worst = first;
  double undetected = 0, unrecovered = 0, unstopped = 0;
  for (size_t i = first; i < first + count; ++i) {
    const Replay& r = replays[i];
    if (r.rank() > replays[out.worst].rank()) out.worst = i;
    undetected += !r.detected;
    unrecovered += r.detected && !r.recovered;
    unstopped += r.unstopped;
    for (size_t m = 0; m < out.values.size(); ++m) {
      const measure::MeasureInfo& info = measure::catalogue()[m];
      if (!info.name.starts_with("fault_")) continue;
      const bool better = i != first && !outweighs(info, r.values[m], out.values[m]);
      if (better) continue;
      out.values[m] = r.values[m];
      out.shown_in[m] = i;
    }
  }
  const auto share = [&](std::string_view name, double of) {
    out.values[index_of(name)] = {State::kMeasured, 100 * of / static_cast<double>(count), {}};
  };
  share("fault_undetected_share", undetected);
  share("fault_unrecovered_share", unrecovered);
  share("fault_unstopped_share", unstopped);
  return out;
}

// Compiles the replays of one campaign.
class CampaignCompiler {
 public:
  CampaignCompiler(const Session& session, const v1::Calibration& calibration, Compiler& compiler,
                   CompiledCampaign& out)
      : session_(session), calibration_(calibration), compiler_(compiler), out_(out) {}

  // False when a scenario cannot be replayed even without a fault.
  bool add_fault_free() {
    for (const std::string& name : out_.document->message.scenarios()) {
      const auto* base = session_.library->scenario_named(name);
      if (!compiler_.add(*base, calibration_, out_.fault_free)) return false;
      bases_.push_back(base);
      replay::ReplayPlan& plan = out_.fault_free.back().plan;
      plan.shared_input = std::make_shared<const replay::Input>(std::move(plan.input));
      plan.input = {};
    }
    return true;
  }

  void add_faulted(const scenario::CampaignReplay& replay) {
    if (refused_.count(replay.fault)) return;
    const auto& fault_free = out_.fault_free[replay.scenario];
    const double start_s = start_of(replay.onset, fault_free);
    const auto& fault = out_.document->message.faults(static_cast<int>(replay.fault));
    if (start_s < 0) {
      compiler_.refuse(out_.document->file.string() + ": onsets: " + replay.name + " would begin " +
                       document::with_unit(-start_s, "s") + " before the replay, whose request begins at " +
                       document::with_unit(fault_free.context.onset_s, "s") + "; take later onsets");
      refused_.insert(replay.fault);
      return;
    }
    const auto scenario = scenario::with_fault(*bases_[replay.scenario], fault, replay.name, start_s);
    if (compiler_.add(compile_faults(session_, scenario, calibration_, fault_free), out_.faulted))
      share_input(fault_free.plan.shared_input, out_.faulted.back().plan);
    else
      refused_.insert(replay.fault);
  }

 private:
  const Session& session_;
  const v1::Calibration& calibration_;
  Compiler& compiler_;
  CompiledCampaign& out_;
  std::vector<const scenario::Loaded<v1::Scenario>*> bases_;
  std::set<size_t> refused_;  // faults told of already
};

}  // namespace

void CompiledCampaign::add_plans(std::vector<const replay::ReplayPlan*>& plans) const {
  for (const auto& c : fault_free) plans.push_back(&c.plan);
  for (const auto& c : faulted) plans.push_back(&c.plan);
}

std::int64_t count_all_replays(const v1::Campaign& campaign) {
  return scenario::count_replays(campaign) + campaign.scenarios_size();
}

CompiledCampaign compile_campaign(const Session& session, const scenario::Loaded<v1::Campaign>& campaign,
                                  const v1::Calibration& calibration, const std::atomic<bool>* cancel,
                                  Compiler& compiler) {
  CompiledCampaign out;
  out.document = &campaign;
  CampaignCompiler one(session, calibration, compiler, out);
  if (!one.add_fault_free()) return out;
  out.replays = scenario::expand(campaign.message);
  out.faulted.reserve(out.replays.size());
  for (const scenario::CampaignReplay& replay : out.replays) {
    if (cancel && *cancel) return out;
    one.add_faulted(replay);
  }
  return out;
}

CampaignValues campaign_values(const CompiledCampaign& campaign, std::span<const Folds> folds) {
  const auto fault_free = folds.first(campaign.fault_free.size());
  const auto faulted = folds.subspan(campaign.fault_free.size());
  std::vector<Replay> replays;
  CampaignValues out;
  for (size_t i = 0; i < campaign.replays.size(); ++i) {
    const auto& compiled = campaign.faulted[i];
    replays.push_back(replay_of(compiled, faulted[i], fault_free[campaign.replays[i].scenario],
                                campaign.document->message.fault_tolerant_time_ms()));
    if (faulted[i].finish_tick <= compiled.plan.params.fold.fault_start_tick) out.not_begun.push_back(i);
  }
  const size_t faults = static_cast<size_t>(campaign.document->message.faults_size());
  const size_t each = replays.size() / faults;  // expand() gives them fault by fault
  for (size_t f = 0; f < faults; ++f) out.faults.push_back(worst_over(replays, f * each, each));
  out.all = worst_over(replays, 0, replays.size());
  return out;
}

std::string baseline_name(const v1::Campaign& campaign, const v1::CampaignFault& fault) {
  return campaign.name() + "/" + fault.name();
}

std::string campaign_sha256(const scenario::Library& library,
                            const scenario::Loaded<v1::Campaign>& campaign) {
  std::string all = campaign.sha256;
  for (const std::string& name : campaign.message.scenarios())
    if (const auto* base = library.scenario_named(name)) all += "\n" + scenario_sha256(library, *base);
  return document::sha256_hex(all);
}

absl::StatusOr<FoundScenario> find_scenario(const Session& session, const std::string& name) {
  const scenario::Library& library = *session.library;
  if (const auto* own = library.scenario_named(name)) return FoundScenario{*own, {}};
  for (const auto& s : library.scenarios) {
    if (!name.starts_with(s.message.name() + "/")) continue;
    for (const scenario::Variant& v : scenario::variants_of(s.message))
      if (v.name == name) return FoundScenario{{s.file, v.message, s.sha256}, v.variation};
  }
  for (const auto& campaign : library.campaigns) {
    if (!name.starts_with(campaign.message.name() + "/")) continue;
    for (const scenario::CampaignReplay& replay : scenario::expand(campaign.message)) {
      if (replay.name != name) continue;
      const auto& base =
          *library.scenario_named(campaign.message.scenarios(static_cast<int>(replay.scenario)));
      const auto fault_free = compile_scenario(session, base, session.candidate.message);
      if (!fault_free.ok()) return fault_free.status();
      const auto& fault = campaign.message.faults(static_cast<int>(replay.fault));
      return FoundScenario{scenario::with_fault(base, fault, name, start_of(replay.onset, *fault_free)), {}};
    }
  }
  std::string known;
  for (const auto& s : library.scenarios) {
    known += (known.empty() ? "" : ", ") + s.message.name();
    if (scenario::count_variants(s.message) > 0)
      known += ", " + scenario::variants_of(s.message).front().name + " and others beside that scenario";
  }
  for (const auto& c : library.campaigns)
    known += ", " + scenario::expand(c.message).front().name + " and others of that campaign";
  return absl::InvalidArgumentError("no scenario named \"" + name + "\" in the library; it has " + known);
}

std::string broken_replay(const CompiledCampaign& campaign, std::span<const Folds> folds) {
  for (size_t i = 0; i < folds.size(); ++i) {
    if (!broke(folds[i])) continue;
    const size_t without = campaign.fault_free.size();
    const auto& compiled = i < without ? campaign.fault_free[i] : campaign.faulted[i - without];
    return compiled.plan.name + ": " + broken_story(compiled);
  }
  return "";
}

}  // namespace brakeward::gate
