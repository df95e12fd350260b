// Campaigns spelt out: how many replays, in which order, under which names and with which times; and what is
// refused.
#include "scenario/campaign.h"

#include <gtest/gtest.h>

#include <set>

#include "end_to_end/library_copy.h"

namespace brakeward::scenario {
namespace {

using end_to_end::LibraryCopy;

v1::Fault open_track(v1::RequestTrack track, double end_s) {
  v1::Fault f;
  f.set_kind(v1::FAULT_KIND_TRACK_OPEN);
  f.set_track(track);
  f.set_start_s(0);
  f.set_end_s(end_s);
  return f;
}

void add_fault(v1::Campaign& c, const std::string& name, const v1::Fault& fault) {
  auto* added = c.add_faults();
  added->set_name(name);
  *added->add_faults() = fault;
}

void add_onsets(v1::Campaign& c, v1::OnsetOrigin origin, double from_s, double to_s, int count) {
  auto* o = c.add_onsets();
  o->set_origin(origin);
  o->set_from_s(from_s);
  if (count > 1) o->set_to_s(to_s);
  o->set_count(count);
}

// Two faults in two scenarios at four onsets.
v1::Campaign sample() {
  v1::Campaign c;
  c.set_name("open");
  c.set_purpose("test");
  c.add_scenarios("step_hand");
  c.add_scenarios("ramp_hand");
  add_fault(c, "track_a", open_track(v1::REQUEST_TRACK_HAND_A, 0.25));
  add_fault(c, "both", open_track(v1::REQUEST_TRACK_HAND_BOTH, 0.5));
  add_onsets(c, v1::ONSET_ORIGIN_REQUEST, -0.1, 0.3, 3);
  add_onsets(c, v1::ONSET_ORIGIN_REPLAY, 1.25, 0, 1);
  c.set_fault_tolerant_time_ms(500);
  c.set_fault_tolerant_time_source("test");
  return c;
}

TEST(Campaign, IsFaultsTimesScenariosTimesOnsetsInThatOrder) {
  const v1::Campaign c = sample();
  EXPECT_EQ(count_replays(c), 16);
  const auto replays = expand(c);
  ASSERT_EQ(replays.size(), 16u);
  const char* const first[] = {"open/track_a/step_hand@-0.100s", "open/track_a/step_hand@+0.100s",
                               "open/track_a/step_hand@+0.300s", "open/track_a/step_hand@1.250s",
                               "open/track_a/ramp_hand@-0.100s"};
  for (size_t i = 0; i < 5; ++i) EXPECT_EQ(replays[i].name, first[i]);
  EXPECT_EQ(replays[8].name, "open/both/step_hand@-0.100s");
  EXPECT_EQ(replays[15].name, "open/both/ramp_hand@1.250s");
  EXPECT_EQ(replays[15].fault, 1u);
  EXPECT_EQ(replays[15].scenario, 1u);
  EXPECT_FALSE(replays[15].onset.from_request);
  std::set<std::string> names;
  for (const auto& r : replays) names.insert(r.name);
  EXPECT_EQ(names.size(), replays.size());
}

// What is replayed is what the name says, to the millisecond.
TEST(Campaign, SpacesOnsetsEvenlyAndRoundsThemToTheMillisecond) {
  v1::Campaign c = sample();
  c.clear_onsets();
  add_onsets(c, v1::ONSET_ORIGIN_REQUEST, 0, 1, 4);
  const auto onsets = onsets_of(c);
  ASSERT_EQ(onsets.size(), 4u);
  const double expected[] = {0, 0.333, 0.667, 1};
  for (size_t i = 0; i < 4; ++i) EXPECT_NEAR(onsets[i].at_s, expected[i], 1e-12);
  EXPECT_EQ(expand(c)[0].name, "open/track_a/step_hand@+0.000s") << "not -0.000s";
}

TEST(Campaign, CountsAFaultsTimesFromTheOnset) {
  const v1::Campaign c = sample();
  Loaded<v1::Scenario> base;
  base.message.set_name("step_hand");
  base.message.set_initial_speed_kph(80);
  const auto made = with_fault(base, c.faults(1), "a name", 1.5);
  EXPECT_EQ(made.message.name(), "a name");
  EXPECT_EQ(made.message.initial_speed_kph(), 80);
  ASSERT_EQ(made.message.faults_size(), 1);
  EXPECT_EQ(made.message.faults(0).start_s(), 1.5);
  EXPECT_EQ(made.message.faults(0).end_s(), 2);
  EXPECT_EQ(base.message.faults_size(), 0);
}

std::string faults_of(const LibraryCopy& copy) {
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  return faults.render();
}

TEST(Campaign, IsLoadedWithItsLibrary) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand"});
  copy.add_campaign(sample());
  document::Faults faults;
  const Library library = load_library(copy.folder(), {}, faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  ASSERT_EQ(library.campaigns.size(), 1u);
  EXPECT_EQ(library.campaigns[0].message.name(), "open");
}

struct Misfit {
  const char* name;
  void (*make)(v1::Campaign&);
  std::vector<std::string> says;
};

const Misfit kMisfits[] = {
    {"name_with_a_slash", [](v1::Campaign& c) { c.set_name("a@b"); }, {"name: \"a@b\" holds a '/' or '@'"}},
    {"name_of_a_scenario",
     [](v1::Campaign& c) { c.set_name("step_hand"); },
     {"name: a scenario of the library is named \"step_hand\" too"}},
    {"fault_name_with_a_slash",
     [](v1::Campaign& c) { c.mutable_faults(0)->set_name("a/b"); },
     {"faults[\"a/b\"].name: \"a/b\" holds a '/' or '@'"}},
    {"fault_name_twice",
     [](v1::Campaign& c) { c.mutable_faults(0)->set_name("both"); },
     {"\"both\" is already the name of faults[0]"}},
    {"unknown_scenario",
     [](v1::Campaign& c) { c.set_scenarios(1, "rump_hand"); },
     {"scenarios[1]: no scenario named \"rump_hand\" in the library; list its file under scenario_files"}},
    {"scenario_twice",
     [](v1::Campaign& c) { c.set_scenarios(1, "step_hand"); },
     {"scenarios[1]: \"step_hand\" is listed twice"}},
    {"scenario_with_faults_of_its_own",
     [](v1::Campaign& c) { c.add_scenarios("millrace_supply_dip"); },
     {"scenarios[2]: \"millrace_supply_dip\" has faults of its own"}},
    {"fault_ends_before_it_starts",
     [](v1::Campaign& c) { c.mutable_faults(1)->mutable_faults(0)->set_start_s(0.7); },
     {"faults[\"both\"].faults[0].end_s: 0.5 s is not after the start, 0.7 s"}},
    {"fault_without_its_track",
     [](v1::Campaign& c) { c.mutable_faults(0)->mutable_faults(0)->clear_track(); },
     {"faults[\"track_a\"].faults[0].track: FAULT_KIND_TRACK_OPEN needs it"}},
    {"onset_out_of_range",
     [](v1::Campaign& c) { c.mutable_onsets(0)->set_from_s(-200); },
     {"onsets[0].from_s: -200 s is below the allowed -100 to 7200 s"}},
    {"onset_before_the_replay",
     [](v1::Campaign& c) { c.mutable_onsets(1)->set_from_s(-1); },
     {"onsets[1].from_s: -1 s is before the start of the replay; use a value from 0 s on"}},
    {"onsets_without_a_last_one",
     [](v1::Campaign& c) { c.mutable_onsets(0)->clear_to_s(); },
     {"onsets[0].to_s: unset; 3 onsets need the last of them"}},
    {"last_onset_of_one",
     [](v1::Campaign& c) { c.mutable_onsets(1)->set_to_s(3); },
     {"onsets[1].count: 1, but to_s gives a last onset"}},
    {"onsets_backwards",
     [](v1::Campaign& c) { c.mutable_onsets(0)->set_to_s(-0.5); },
     {"onsets[0].to_s: -0.5 s is not after from_s, -0.1 s"}},
    {"the_same_onset_twice",
     [](v1::Campaign& c) { add_onsets(c, v1::ONSET_ORIGIN_REQUEST, 0.1, 0, 1); },
     {"onsets: two onsets are +0.100s to the millisecond"}},
    {"fault_tolerant_time_out_of_range",
     [](v1::Campaign& c) { c.set_fault_tolerant_time_ms(0.5); },
     {"fault_tolerant_time_ms: 0.5 ms is below the allowed 1 to 60000 ms"}},
    {"fault_tolerant_time_without_its_source",
     [](v1::Campaign& c) { c.clear_fault_tolerant_time_source(); },
     {"fault_tolerant_time_source: must be given together with fault_tolerant_time_ms"}},
    {"single_faults_without_a_fault_tolerant_time",
     [](v1::Campaign& c) {
       c.clear_fault_tolerant_time_ms();
       *c.mutable_faults(0)->add_faults() = open_track(v1::REQUEST_TRACK_PEDAL, 0.25);
     },
     {"fault_tolerant_time_ms: must be given together with fault_tolerant_time_source",
      "fault_tolerant_time_ms: unset, but fault \"both\" is a single one"}},
    {"tier_of_runs", [](v1::Campaign& c) { c.set_tier(v1::TIER_ALL); }, {"tier: TIER_ALL is of runs only"}},
};

class CampaignMisfit : public testing::TestWithParam<Misfit> {};

TEST_P(CampaignMisfit, IsTold) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand", "millrace_supply_dip"});
  v1::Campaign campaign = sample();
  GetParam().make(campaign);
  copy.add_campaign(campaign);
  const std::string said = faults_of(copy);
  for (const std::string& part : GetParam().says)
    EXPECT_NE(said.find(part), std::string::npos) << "missing: " << part << "\nin: " << said;
}

INSTANTIATE_TEST_SUITE_P(All, CampaignMisfit, testing::ValuesIn(kMisfits),
                         [](const auto& info) { return std::string(info.param.name); });

// They are reported: no fault-tolerant time is theirs.
TEST(Campaign, OfDoubleFaultsNeedsNoFaultTolerantTime) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand"});
  v1::Campaign campaign = sample();
  campaign.clear_fault_tolerant_time_ms();
  campaign.clear_fault_tolerant_time_source();
  for (v1::CampaignFault& fault : *campaign.mutable_faults())
    *fault.add_faults() = open_track(v1::REQUEST_TRACK_PEDAL, 0.25);
  copy.add_campaign(campaign);
  EXPECT_EQ(faults_of(copy), "");
}

TEST(Campaign, TellsAllThatIsWrongAtOnce) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand"});
  v1::Campaign campaign = sample();
  campaign.set_scenarios(1, "rump_hand");
  campaign.mutable_onsets(0)->clear_to_s();
  campaign.mutable_faults(0)->mutable_faults(0)->clear_track();
  copy.add_campaign(campaign);
  const std::string said = faults_of(copy);
  for (const char* part : {"rump_hand", "onsets[0].to_s", "faults[\"track_a\"].faults[0].track"})
    EXPECT_NE(said.find(part), std::string::npos) << said;
}

// 2 x 2 x (10000 + 10000) replays would be spelt out after this; the answer comes at once and from the
// counts.
TEST(Campaign, RefusesTooManyReplaysBeforeSpellingThemOut) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand"});
  v1::Campaign campaign = sample();
  campaign.clear_onsets();
  add_onsets(campaign, v1::ONSET_ORIGIN_REQUEST, 0, 1000, 10000);
  add_onsets(campaign, v1::ONSET_ORIGIN_REPLAY, 0, 1000, 10000);
  EXPECT_EQ(count_replays(campaign), 80000);
  copy.add_campaign(campaign);
  EXPECT_NE(
      faults_of(copy).find("onsets: 80000 replays (2 faults in 2 scenarios), of which a campaign may have "
                           "5000; take fewer onsets, or part the campaign"),
      std::string::npos)
      << faults_of(copy);
}

}  // namespace
}  // namespace brakeward::scenario
