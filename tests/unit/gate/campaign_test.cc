// Campaigns through a check: one result of many replays, whatever the threads; what is not tolerated is
// named.
#include "gate/campaign.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>
#include <filesystem>

#include "end_to_end/library_copy.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;
using verdict::Verdict;

void add_fault(v1::Campaign& c, const std::string& name, v1::RequestTrack track) {
  auto* fault = c.add_faults();
  fault->set_name(name);
  auto* f = fault->add_faults();
  f->set_kind(v1::FAULT_KIND_TRACK_OPEN);
  f->set_track(track);
  f->set_start_s(0);
  f->set_end_s(0.4);
}

// One track open is tolerated; with both open nothing brakes until the hand has let go.
v1::Campaign sample() {
  v1::Campaign c;
  c.set_name("open");
  c.set_purpose("test");
  c.add_scenarios("step_hand");
  add_fault(c, "track_a", v1::REQUEST_TRACK_HAND_A);
  add_fault(c, "both", v1::REQUEST_TRACK_HAND_BOTH);
  auto* onsets = c.add_onsets();
  onsets->set_origin(v1::ONSET_ORIGIN_REQUEST);
  onsets->set_from_s(-0.3);
  onsets->set_to_s(0.7);
  onsets->set_count(5);
  c.set_fault_tolerant_time_ms(500);
  c.set_fault_tolerant_time_source("half a second, for the test");
  return c;
}

class CampaignCheck : public testing::Test {
 protected:
  void SetUp() override { copy_.keep({"step_hand"}); }

  absl::StatusOr<verdict::Run> check_with(const v1::Campaign& campaign, int threads = 0,
                                          verdict::Tier tier = verdict::Tier::kGate) {
    if (!added_) copy_.add_campaign(campaign);
    added_ = true;
    return check_again(copy_.released(), threads, tier);
  }
  absl::StatusOr<verdict::Run> check_again(const std::string& calibration, int threads = 0,
                                           verdict::Tier tier = verdict::Tier::kGate) {
    Options options;
    options.library = copy_.folder();
    options.calibration = calibration;
    options.tier = tier;
    CheckOptions how;
    how.threads = threads;
    how.progress = [&](size_t, size_t all) { replays_ = all; };
    return check(options, how);
  }

  LibraryCopy copy_;
  bool added_ = false;
  size_t replays_ = 0;
};

const verdict::MeasureResult& measure_of(const std::vector<verdict::MeasureResult>& list,
                                         const std::string& name) {
  static const verdict::MeasureResult none;
  const auto it = std::find_if(list.begin(), list.end(), [&](const auto& m) { return m.measure == name; });
  EXPECT_NE(it, list.end()) << name;
  return it == list.end() ? none : *it;
}

TEST_F(CampaignCheck, IsOneResultThatNamesTheFaultAndTheOnsetThatAreNotTolerated) {
  const auto run = check_with(sample());
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(replays_, 1u + 1u + 10u)
      << "the scenario, the campaign's fault-free replay, two faults at five onsets";
  ASSERT_EQ(run->scenarios.size(), 2u);
  const verdict::ScenarioResult& result = run->scenarios[1];
  EXPECT_EQ(result.scenario, "open");
  EXPECT_EQ(result.scenario_class, "fault");
  EXPECT_EQ(result.verdict, Verdict::kFail);
  EXPECT_EQ(run->verdict, Verdict::kFail) << "a failing campaign fails the run";
  ASSERT_TRUE(result.campaign.has_value());
  ASSERT_EQ(result.campaign->faults.size(), 2u);
  const verdict::FaultResult& one = result.campaign->faults[0];
  const verdict::FaultResult& both = result.campaign->faults[1];
  EXPECT_EQ(one.fault, "track_a");
  EXPECT_EQ(one.replays, 5);
  EXPECT_EQ(one.verdict, Verdict::kPass);
  EXPECT_EQ(both.verdict, Verdict::kFail);
  EXPECT_EQ(both.worst_replay.find("open/both/step_hand@"), 0u) << both.worst_replay;
  const auto& unbraked = measure_of(result.measures, "fault_unbraked_time");
  EXPECT_EQ(unbraked.verdict, Verdict::kFail);
  for (const char* part : {"fault unbraked time is", "at most 500 ms", "half a second, for the test",
                           "worst in open/both/step_hand@"})
    EXPECT_NE(unbraked.reason.find(part), std::string::npos) << unbraked.reason;
}

// Two faults at once are told of as single ones are, and no fault-tolerant time is held against them.
TEST_F(CampaignCheck, OfDoubleFaultsReportsWhatItFoundWithoutThatBound) {
  v1::Campaign campaign = sample();
  campaign.clear_fault_tolerant_time_ms();
  campaign.clear_fault_tolerant_time_source();
  for (v1::CampaignFault& fault : *campaign.mutable_faults()) {
    v1::Fault& second = *fault.add_faults();
    second.set_kind(v1::FAULT_KIND_ACTUATOR_DEAD);
    second.set_circuit(v1::CIRCUIT_REAR);
    second.set_start_s(0.1);
    second.set_end_s(0.4);
  }
  const auto run = check_with(campaign);
  ASSERT_TRUE(run.ok()) << run.status();
  const verdict::ScenarioResult& result = run->scenarios[1];
  ASSERT_TRUE(result.campaign.has_value());
  EXPECT_FALSE(result.campaign->fault_tolerant_time_ms.has_value());
  EXPECT_NE(result.verdict, Verdict::kFail);
  const verdict::FaultResult& both = result.campaign->faults[1];
  const auto& unbraked = measure_of(both.measures, "fault_unbraked_time");
  EXPECT_NEAR(*unbraked.value, 1200, 10);
  EXPECT_NE(unbraked.verdict, Verdict::kFail);
  EXPECT_EQ(both.worst_replay.find("open/both/step_hand@"), 0u) << both.worst_replay;
}

// With both tracks gone as the hand moves, nothing comes before the hand has let go at 1.7 s: the step is
// held for 1.2 s. The onset at the request itself costs the whole of it, a later one what is left.
TEST_F(CampaignCheck, KnowsHowLongNothingBrakes) {
  const auto run = check_with(sample());
  ASSERT_TRUE(run.ok()) << run.status();
  const auto& both = run->scenarios[1].campaign->faults[1];
  EXPECT_NEAR(*measure_of(both.measures, "fault_unbraked_time").value, 1200, 10);
  EXPECT_NEAR(*measure_of(both.measures, "fault_detection_time").value, 51, 2) << "the debounce of 50 ms";
  EXPECT_EQ(*measure_of(both.measures, "fault_undetected_share").value, 0);
  EXPECT_GT(*measure_of(both.measures, "fault_lost_distance").value, 1);
  const auto& one = run->scenarios[1].campaign->faults[0];
  EXPECT_LT(*measure_of(one.measures, "fault_unbraked_time").value, 200);
  EXPECT_LT(*measure_of(one.measures, "fault_lost_distance").value,
            *measure_of(both.measures, "fault_lost_distance").value);
}

TEST_F(CampaignCheck, GivesTheSameBitsForAnyNumberOfThreads) {
  const auto one = check_with(sample(), 1);
  ASSERT_TRUE(one.ok()) << one.status();
  for (int threads : {2, 5}) {
    const auto more = check_again(copy_.released(), threads);
    ASSERT_TRUE(more.ok()) << more.status();
    EXPECT_EQ(more->result_sha256, one->result_sha256) << threads;
  }
}

// The values of a campaign's replay are those of the same replay alone.
TEST_F(CampaignCheck, AReplayOfItCanBeReplayedAloneByName) {
  v1::Campaign campaign = sample();
  campaign.mutable_faults()->DeleteSubrange(0, 1);
  campaign.clear_onsets();
  auto* onset = campaign.add_onsets();
  onset->set_origin(v1::ONSET_ORIGIN_REQUEST);
  onset->set_from_s(0.25);
  const auto run = check_with(campaign);
  ASSERT_TRUE(run.ok()) << run.status();
  Options options;
  options.library = copy_.folder();
  options.calibration = copy_.released();
  const auto alone = replay_scenario(options, "open/both/step_hand@+0.250s");
  ASSERT_TRUE(alone.ok()) << alone.status();
  const auto& in_campaign = run->scenarios[1].campaign->faults[0].measures;
  for (const char* name : {"fault_detection_time", "fault_unbraked_time", "fault_unrequested_time"})
    EXPECT_EQ(measure_of(alone->result.measures, name).value, measure_of(in_campaign, name).value) << name;
  EXPECT_FALSE(replay_scenario(options, "open/both/step_hand@+0.251s").ok());
}

TEST_F(CampaignCheck, IsComparedWithItsBaselineFaultByFault) {
  v1::Campaign campaign = sample();
  campaign.set_fault_tolerant_time_ms(2000);
  copy_.add_campaign(campaign);
  copy_.make_baseline();
  const auto released = check_again(copy_.released());
  ASSERT_TRUE(released.ok()) << released.status();
  EXPECT_EQ(released->verdict, Verdict::kPass);
  for (const auto& m : released->scenarios[1].measures) EXPECT_EQ(m.value, m.baseline) << m.measure;
  const auto late = check_again(
      copy_.candidate([](v1::Calibration& c) { c.mutable_supervision()->set_fault_debounce_ms(130); }));
  ASSERT_TRUE(late.ok()) << late.status();
  const auto& result = late->scenarios[1];
  EXPECT_EQ(result.verdict, Verdict::kFail);
  const auto& detection = measure_of(result.measures, "fault_detection_time");
  EXPECT_EQ(detection.verdict, Verdict::kFail);
  EXPECT_NEAR(*detection.value - *detection.baseline, 80, 1.01);
  EXPECT_NE(detection.reason.find("worst in open/"), std::string::npos) << detection.reason;
  for (const auto& fault : result.campaign->faults) EXPECT_EQ(fault.verdict, Verdict::kFail) << fault.fault;
}

TEST_F(CampaignCheck, ABaselineOfAnotherCampaignDoesNotFit) {
  v1::Campaign campaign = sample();
  const std::string file = copy_.add_campaign(campaign);
  copy_.make_baseline();
  copy_.change<v1::Campaign>(file, [](v1::Campaign& c) { c.mutable_onsets(0)->set_count(6); });
  const auto run = check_again(copy_.released());
  EXPECT_EQ(run.status().code(), absl::StatusCode::kFailedPrecondition);
  const std::string said(run.status().message());
  EXPECT_NE(said.find("scenarios[\"open\"]: the campaign or one of its scenarios has changed"),
            std::string::npos)
      << said;
  EXPECT_EQ(said.find("open/both"), std::string::npos) << "it stands for its faults: " << said;
}

TEST_F(CampaignCheck, AnOnsetBeforeTheReplayIsRefusedWithTheTimeOfTheRequest) {
  v1::Campaign campaign = sample();
  campaign.mutable_onsets(0)->set_from_s(-0.75);
  const auto run = check_with(campaign);
  EXPECT_EQ(run.status().code(), absl::StatusCode::kInvalidArgument);
  for (const char* part : {"open.textproto: onsets: open/track_a/step_hand@-0.750s would begin 0.25 s before",
                           "whose request begins at 0.5 s"})
    EXPECT_NE(run.status().message().find(part), std::string::npos) << run.status();
}

TEST_F(CampaignCheck, AFaultThatNeverBeginsLeavesItInconclusive) {
  v1::Campaign campaign = sample();
  campaign.mutable_faults()->DeleteSubrange(1, 1);
  campaign.mutable_onsets(0)->set_to_s(50);
  const auto run = check_with(campaign);
  ASSERT_TRUE(run.ok()) << run.status();
  const auto& result = run->scenarios[1];
  EXPECT_EQ(result.verdict, Verdict::kInconclusive);
  for (const char* part : {"in 4 of 5 replays the fault never began", "open/track_a/step_hand@+12.275s",
                           "earlier onsets would settle it"})
    EXPECT_NE(result.reason.find(part), std::string::npos) << result.reason;
}

// Nothing of another tier is replayed, but a baseline knows all of them.
TEST_F(CampaignCheck, BelongsToATier) {
  v1::Campaign campaign = sample();
  campaign.set_tier(v1::TIER_ENDURANCE);
  const auto gate = check_with(campaign);
  ASSERT_TRUE(gate.ok()) << gate.status();
  EXPECT_EQ(gate->scenarios.size(), 1u);
  EXPECT_EQ(gate->tier, verdict::Tier::kGate);
  copy_.make_baseline();
  const auto endurance = check_again(copy_.released(), 0, verdict::Tier::kEndurance);
  ASSERT_TRUE(endurance.ok()) << endurance.status();
  ASSERT_EQ(endurance->scenarios.size(), 1u);
  EXPECT_EQ(endurance->scenarios[0].scenario, "open");
  const auto all = check_again(copy_.released(), 0, verdict::Tier::kAll);
  ASSERT_TRUE(all.ok()) << all.status();
  EXPECT_EQ(all->scenarios.size(), 2u);
}

TEST_F(CampaignCheck, ATierWithNothingInItIsAnError) {
  const auto run = check_with(sample(), 0, verdict::Tier::kEndurance);
  EXPECT_EQ(run.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_NE(run.status().message().find("nothing of tier endurance"), std::string::npos) << run.status();
}

class DemoCampaigns : public testing::TestWithParam<const char*> {};

// A campaign takes over from the replay without a fault what faults have no part in. Reference: the same
// replay compiled on its own.
TEST_P(DemoCampaigns, AreMadeOfTheReplaysThatEachScenarioAloneWouldBe) {
  Options options;
  options.library = std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / GetParam();
  options.calibration = options.library / "calibrations/released.textproto";
  const auto session = open_session(options);
  ASSERT_TRUE(session.ok()) << session.status();
  ASSERT_FALSE(session->library->campaigns.empty());
  for (const auto& campaign : session->library->campaigns) {
    Compiler compiler(*session);
    const CompiledCampaign made =
        compile_campaign(*session, campaign, session->candidate.message, nullptr, compiler);
    ASSERT_TRUE(compiler.status().ok()) << compiler.status();
    ASSERT_EQ(made.faulted.size(), static_cast<size_t>(scenario::count_replays(campaign.message)));
    const size_t onsets = scenario::onsets_of(campaign.message).size();
    for (size_t i = onsets / 2; i < made.faulted.size(); i += onsets) {
      const auto scenario = find_scenario(*session, made.replays[i].name);
      ASSERT_TRUE(scenario.ok()) << scenario.status();
      const auto alone = compile_scenario(*session, scenario->scenario, session->candidate.message);
      ASSERT_TRUE(alone.ok()) << alone.status();
      const replay::ReplayPlan& plan = made.faulted[i].plan;
      EXPECT_EQ(plan.name, alone->plan.name);
      EXPECT_EQ(std::memcmp(&plan.params, &alone->plan.params, sizeof plan.params), 0) << plan.name;
      EXPECT_TRUE((plan.shared_input ? *plan.shared_input : plan.input) == alone->plan.input) << plan.name;
      EXPECT_EQ(plan.structure.plant.disturbed, alone->plan.structure.plant.disturbed) << plan.name;
      EXPECT_EQ(made.faulted[i].context.fault_start_s, alone->context.fault_start_s) << plan.name;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Cars, DemoCampaigns, testing::Values("sorrel", "bracken"),
                         [](const auto& info) { return std::string(info.param); });

}  // namespace
}  // namespace brakeward::gate
