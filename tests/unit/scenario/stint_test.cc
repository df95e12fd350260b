// Stints spelt out: what follows what, which laps compare, what varies and what does not; and what is
// refused.
#include "scenario/stint.h"

#include <gtest/gtest.h>

#include <set>

#include "end_to_end/library_copy.h"

namespace brakeward::scenario {
namespace {

using end_to_end::LibraryCopy;
using Kind = StintStretch::Kind;

void add_part(google::protobuf::RepeatedPtrField<v1::LapPart>* lap, const std::string& scenario, double kph,
              double seconds) {
  v1::LapPart* part = lap->Add();
  part->set_scenario(scenario);
  part->set_then_drive_kph(kph);
  part->set_then_drive_s(seconds);
}

void add_slow(v1::Stint& stint, int first, int last) {
  v1::SlowLaps* slow = stint.add_slow_laps();
  slow->set_first_lap(first);
  slow->set_last_lap(last);
  slow->set_speed_percent(50);
  slow->set_request_percent(40);
}

// A stop and a step on every one of six laps; the first lap is slow.
v1::Stint sample() {
  v1::Stint s;
  s.set_name("made");
  s.set_purpose("test");
  add_part(s.mutable_lap(), "saltmarsh_dry_100", 90, 30);
  add_part(s.mutable_lap(), "step_hand", 0, 0);
  s.set_laps(6);
  add_slow(s, 1, 1);
  s.mutable_variation()->set_seed(1);
  s.mutable_variation()->set_request_percent(5);
  s.mutable_variation()->set_speed_percent(2);
  s.mutable_variation()->set_gap_percent(10);
  s.mutable_fuel()->set_place("fuel");
  s.mutable_fuel()->set_kg_per_lap(1.5);
  s.set_ambient_celsius(10);
  s.set_ambient_end_celsius(20);
  return s;
}

void add_change(v1::Stint& s) {
  v1::DriverChange* change = s.mutable_driver_change();
  change->set_after_lap(3);
  change->set_standing_s(60);
  change->set_to_control(v1::REQUEST_CONTROL_PEDAL);
  change->set_pit_speed_kph(40);
  change->set_held_travel_mm(5);
  change->set_held_force_n(200);
  add_part(change->mutable_lap(), "saltmarsh_dry_100_pedal", 80, 40);
}

// Loaded with the demo library around it.
class Stints : public testing::Test {
 protected:
  Stints() { library_ = load_library(copy_.folder(), {}, faults_); }

  void SetUp() override { ASSERT_TRUE(faults_.empty()) << faults_.render(); }

  std::vector<StintStretch> spelt_out(const v1::Stint& stint) { return expand(library_, stint); }

  std::string faults_of(const v1::Stint& stint) {
    document::Faults faults;
    check_stint(library_, {"made.textproto", stint, ""}, faults);
    return faults.render();
  }

  LibraryCopy copy_;
  document::Faults faults_;
  Library library_;
};

std::vector<StintStretch> of_lap(const std::vector<StintStretch>& all, int lap) {
  std::vector<StintStretch> out;
  for (const StintStretch& s : all)
    if (s.lap == lap) out.push_back(s);
  return out;
}

TEST_F(Stints, AreStopReleaseDriveAndTheNextPart) {
  const auto lap = of_lap(spelt_out(sample()), 2);
  ASSERT_EQ(lap.size(), 4u);
  EXPECT_EQ(lap[0].kind, Kind::kPart);
  EXPECT_EQ(lap[1].kind, Kind::kStand) << "the car stood: the brakes are let go before it drives on";
  EXPECT_EQ(lap[2].kind, Kind::kDrive);
  EXPECT_EQ(lap[2].speed_kph, 90);
  EXPECT_EQ(lap[3].kind, Kind::kPart)
      << "a step that ends with its input needs no release, and nothing is driven";
  EXPECT_EQ(lap[3].part, 1u);
}

TEST_F(Stints, DriveTheFirstAndLastLapAtPaceAsRecorded) {
  const auto all = spelt_out(sample());
  for (int lap = 1; lap <= 6; ++lap)
    for (const StintStretch& s : of_lap(all, lap)) {
      const bool compares = lap == 2 || lap == 6;
      if (s.kind == Kind::kPart) {
        EXPECT_EQ(s.compares, compares) << lap;
      }
      if (compares) {
        EXPECT_EQ(s.request_factor, 1) << lap;
        EXPECT_EQ(s.speed_factor, 1) << lap;
      }
      if (lap == 1 && s.kind == Kind::kPart) {
        EXPECT_EQ(s.request_factor, 0.4);
        EXPECT_EQ(s.speed_factor, 0.5);
      }
      if (lap == 1 && s.kind == Kind::kDrive) {
        EXPECT_EQ(s.seconds, 60) << "at half the speed it takes twice the time";
      }
    }
}

TEST_F(Stints, VaryTheLapsBetweenWithinBoundsAndBySeed) {
  v1::Stint stint = sample();
  stint.set_laps(60);
  std::set<double> requests;
  const auto all = spelt_out(stint);
  for (const StintStretch& s : all) {
    if (s.lap == 1 || s.kind != Kind::kPart) continue;
    EXPECT_NEAR(s.request_factor, 1, 0.05);
    EXPECT_NEAR(s.speed_factor, 1, 0.02);
    requests.insert(s.request_factor);
  }
  EXPECT_GT(requests.size(), 100u);
  EXPECT_LT(*requests.begin(), 0.955);
  EXPECT_GT(*requests.rbegin(), 1.045);
  const auto again = spelt_out(stint);
  stint.mutable_variation()->set_seed(2);
  const auto other = spelt_out(stint);
  size_t differ = 0;
  for (size_t i = 0; i < all.size(); ++i) {
    EXPECT_EQ(all[i].request_factor, again[i].request_factor);
    differ += all[i].request_factor != other[i].request_factor;
  }
  EXPECT_GT(differ, 100u);
}

// One lap more slow leaves the draws of the others as they were.
TEST_F(Stints, DrawEveryLapByItself) {
  v1::Stint stint = sample();
  stint.set_laps(12);
  const auto before = of_lap(spelt_out(stint), 9);
  add_slow(stint, 5, 6);
  const auto after = of_lap(spelt_out(stint), 9);
  ASSERT_EQ(before.size(), after.size());
  for (size_t i = 0; i < before.size(); ++i) EXPECT_EQ(before[i].request_factor, after[i].request_factor);
}

TEST_F(Stints, BurnFuelAndFollowTheAir) {
  const auto all = spelt_out(sample());
  EXPECT_EQ(of_lap(all, 1)[0].burnt_kg, 0);
  EXPECT_EQ(of_lap(all, 6)[0].burnt_kg, 7.5);
  EXPECT_EQ(of_lap(all, 1)[0].ambient_celsius, 10);
  EXPECT_EQ(of_lap(all, 6)[0].ambient_celsius, 20);
}

TEST_F(Stints, ChangeDriversAfterTheirLap) {
  v1::Stint stint = sample();
  add_change(stint);
  const auto all = spelt_out(stint);
  const auto lap = of_lap(all, 3);
  ASSERT_GE(lap.size(), 3u);
  EXPECT_EQ(lap[lap.size() - 3].kind, Kind::kStand);
  EXPECT_EQ(lap[lap.size() - 3].seconds, 60);
  EXPECT_EQ(lap[lap.size() - 2].kind, Kind::kChangeOver);
  const auto after = of_lap(all, 4);
  EXPECT_TRUE(after[0].by_second_driver);
  EXPECT_EQ(lap_of(stint, true)[0].scenario(), "saltmarsh_dry_100_pedal");
  EXPECT_TRUE(of_lap(all, 3)[0].compares) << "the last lap that is driven like the first one";
  EXPECT_FALSE(of_lap(all, 6)[0].compares);
}

TEST_F(Stints, OfTheDemoAreWithoutFault) {
  ASSERT_TRUE(faults_of(sample()).empty()) << faults_of(sample());
  v1::Stint stint = sample();
  add_change(stint);
  EXPECT_TRUE(faults_of(stint).empty()) << faults_of(stint);
}

TEST_F(Stints, AreRefusedWithAddressValueAndRemedy) {
  const struct {
    const char* what;
    std::function<void(v1::Stint&)> change;
    const char* fault;
  } kCases[] = {
      {"a scenario that is not there", [](auto& s) { s.mutable_lap(0)->set_scenario("nowhere"); },
       "lap[0].scenario: no scenario named \"nowhere\" in the library; list its file under scenario_files"},
      {"one with faults", [](auto& s) { s.mutable_lap(1)->set_scenario("millrace_open_track"); },
       "lap[1].scenario: \"millrace_open_track\" has faults, which would come back every lap; take one "
       "without"},
      {"a speed without a time", [](auto& s) { s.mutable_lap(1)->set_then_drive_kph(50); },
       "lap[1].then_drive_s: 0 s, but then_drive_kph gives a speed"},
      {"slow laps backwards", [](auto& s) { add_slow(s, 5, 4); },
       "slow_laps[1].last_lap: 4 is before first_lap, 5; give the later lap"},
      {"slow laps beyond the end", [](auto& s) { add_slow(s, 5, 9); },
       "slow_laps[1].last_lap: 9, of a stint of 6 laps; give a lap that is driven"},
      {"a lap that is slow twice", [](auto& s) { add_slow(s, 1, 2); },
       "slow_laps[1]: holds laps that slow_laps[0] holds too; a lap may be slow once"},
      {"nothing at pace", [](auto& s) { add_slow(s, 2, 6); },
       "slow_laps: every lap is slow, so that none is at pace; leave one out at least"},
      {"a tank that is not there", [](auto& s) { s.mutable_fuel()->set_place("wing"); },
       "fuel.place: vehicle \"sorrel\" has no place \"wing\"; it has \"driver\", \"co_driver\", \"fuel\", "
       "\"bed\""},
      {"a change after the end",
       [](auto& s) {
         add_change(s);
         s.mutable_driver_change()->set_after_lap(6);
       },
       "driver_change.after_lap: 6, of a stint of 6 laps; leave the second driver one lap at least"},
      {"the same control again",
       [](auto& s) {
         add_change(s);
         s.mutable_driver_change()->set_to_control(v1::REQUEST_CONTROL_HAND);
       },
       "driver_change.to_control: REQUEST_CONTROL_HAND, which selected_control says already; give the other "
       "control"},
      {"a hand that hardly holds",
       [](auto& s) {
         add_change(s);
         s.mutable_driver_change()->set_held_travel_mm(1.5);
       },
       "driver_change.held_travel_mm: 1.5 mm; beyond 2 mm a request counts as begun (SAE J299): give more"},
      {"a foot that hardly holds",
       [](auto& s) {
         add_change(s);
         s.mutable_driver_change()->set_held_force_n(10);
       },
       "driver_change.held_force_n: 10 N; beyond 22 N a request counts as begun (SAE J299): give more"},
      {"too much of it",
       [](auto& s) {
         s.set_laps(500);
         for (int i = 0; i < 20; ++i) add_part(s.mutable_lap(), "step_hand", 50, 1);
       },
       "laps: 500 laps of 22 parts are up to 33003 stretches, of which a stint may have 20000; take fewer "
       "laps or "
       "parts"},
  };
  for (const auto& c : kCases) {
    v1::Stint stint = sample();
    c.change(stint);
    EXPECT_NE(faults_of(stint).find(c.fault), std::string::npos) << c.what << "\n" << faults_of(stint);
  }
}

TEST_F(Stints, NeedANameOfTheirOwn) {
  v1::Stint stint = sample();
  stint.set_name("step_hand");
  copy_.add_stint(stint);
  document::Faults faults;
  load_library(copy_.folder(), {}, faults);
  EXPECT_NE(faults.render().find("a scenario or campaign of the library is named \"step_hand\" too"),
            std::string::npos)
      << faults.render();
}

}  // namespace
}  // namespace brakeward::scenario
