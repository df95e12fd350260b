// Ratings of a replay against its recording, and what a least rating makes of a scenario. On changed copies
// of the demo library.
#include <gtest/gtest.h>

#include "end_to_end/library_copy.h"
#include "gate/check.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

class Ratings : public testing::Test {
 protected:
  void SetUp() override {
    copy.keep({"saltmarsh_dry_100"});
    copy.make_baseline();
  }
  // Appends to the tolerances.
  void ask(const std::string& ratings) const {
    const std::string file = copy.file("tolerances/sorrel.textproto");
    end_to_end::write_file(file, end_to_end::read_file(file) + ratings);
  }
  verdict::ScenarioResult result() const {
    Options options;
    options.library = copy.folder();
    options.calibration = copy.released();
    const auto run = check(options);
    EXPECT_TRUE(run.ok()) << run.status();
    return run.ok() ? run->scenarios[0] : verdict::ScenarioResult();
  }
  void expect_inconclusive(const std::vector<std::string>& parts) const {
    const auto r = result();
    EXPECT_EQ(r.verdict, verdict::Verdict::kInconclusive);
    for (const std::string& part : parts)
      EXPECT_NE(r.reason.find(part), std::string::npos) << part << "\n" << r.reason;
  }

  LibraryCopy copy;
};

TEST_F(Ratings, AreThereForEveryRecordedChannel) {
  const auto r = result();
  EXPECT_EQ(r.verdict, verdict::Verdict::kPass) << r.reason;
  ASSERT_TRUE(r.reproduction.has_value());
  const auto& channels = r.reproduction->channels;
  ASSERT_EQ(channels.size(), 3u);
  const char* const names[] = {"deceleration", "pressure", "speed"};
  const char* const units[] = {"m/s^2", "bar", "m/s"};
  for (size_t i = 0; i < channels.size(); ++i) {
    EXPECT_EQ(channels[i].channel, names[i]);
    EXPECT_EQ(channels[i].unit, units[i]);
    ASSERT_TRUE(channels[i].rating.has_value()) << channels[i].reason;
    const auto& c = channels[i];
    EXPECT_NEAR(*c.rating, 0.4 * c.corridor + 0.2 * (c.phase + c.magnitude + c.slope), 1e-12);
    EXPECT_GT(*c.rating, 0.58) << c.channel << ": the demo's recordings are near its model";
    EXPECT_LT(*c.rating, 1) << c.channel << ": too good to be a recording";
    EXPECT_GE(std::abs(c.peak_error), c.rms_error);
    EXPECT_GT(c.rms_error, 0);
  }
}

TEST_F(Ratings, DecideNothingUnlessAsked) {
  ask("ratings { scenario_class: SCENARIO_CLASS_STRAIGHT_WET minimum: 1 source: \"test\" }\n");
  EXPECT_EQ(result().verdict, verdict::Verdict::kPass) << "another class is asked";
  ask("ratings { scenario_class: SCENARIO_CLASS_STRAIGHT_DRY minimum: 0.3 source: \"test\" }\n");
  EXPECT_EQ(result().verdict, verdict::Verdict::kPass);
}

TEST_F(Ratings, BelowWhatIsAskedAreInconclusiveAndNameWhatWouldSettleIt) {
  ask("ratings { scenario_class: SCENARIO_CLASS_STRAIGHT_DRY channel: RATED_CHANNEL_PRESSURE minimum: 1 "
      "source: "
      "\"test\" }\n");
  expect_inconclusive(
      {"the pressure of recording \"saltmarsh_session\"", "asked is 1.00", "would settle it"});
}

TEST_F(Ratings, AskedOfAChannelThatWasNotRecorded) {
  ask("ratings { scenario_class: SCENARIO_CLASS_STRAIGHT_DRY channel: RATED_CHANNEL_PRESSURE minimum: 0.5 "
      "source: "
      "\"test\" }\n");
  copy.change<v1::ChannelMap>(copy.file("recordings/logger.textproto"), [](v1::ChannelMap& m) {
    auto* channels = m.mutable_channels();
    for (int i = channels->size(); i-- > 0;)
      if (channels->at(i).signal() == v1::RECORDED_SIGNAL_FRONT_PRESSURE) channels->DeleteSubrange(i, 1);
  });
  expect_inconclusive({"a rating of the pressure is asked", "has no such channel; a recording with it"});
}

TEST_F(Ratings, AskedOfARecordingUnderAnUnknownCalibration) {
  ask("ratings { scenario_class: SCENARIO_CLASS_STRAIGHT_DRY minimum: 0.5 source: \"test\" }\n");
  copy.change<v1::Library>(copy.index(), [](v1::Library& l) { l.clear_baseline_file(); });
  copy.change<v1::Recording>(copy.file("recordings/saltmarsh_session.textproto"),
                             [](v1::Recording& r) { r.clear_calibration(); });
  expect_inconclusive({"does not say which calibration was on the car"});
}

}  // namespace
}  // namespace brakeward::gate
