#include "logs.h"

namespace brakeward::recording {
namespace {

using ::testing::DoubleEq;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

TEST(Parse, ReadsChannelsInBaseUnitsFromTheFirstSample) {
  const Log log = read("time,v,p\n10.0,36,1\n10.1,72,2.5\n");
  EXPECT_EQ(log.file, "log.csv");
  EXPECT_EQ(log.first_time, 10);
  EXPECT_EQ(log.time_s[0], 0);
  EXPECT_NEAR(log.time_s[1], 0.1, 1e-12);
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, 20));
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 2.5e5));
  EXPECT_FALSE(log.has(Signal::kRearPressure));
  EXPECT_THAT(log.repairs, IsEmpty());
}

TEST(Parse, TakesColumnsByNameWhateverTheirOrder) {
  const Log log = read("p,remark,v,time\n1,start,36,0\n2,\"slows, then stops\",72,0.1\n");
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, 20));
  EXPECT_THAT(log.repairs, IsEmpty());
}

TEST(Parse, AppliesOffsetThenScaleThenUnit) {
  ChannelMap map = small_map();
  map.channels[1].offset = -0.5;
  map.channels[1].scale = -2;
  const Log log = read("time,v,p\n0,0,1\n0.1,0,-1.5\n", map);
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(-1e5, 4e5));
}

TEST(Parse, ReadsEveryTimeUnit) {
  const std::pair<const char*, const char*> texts[] = {{"s", "time,v,p\n1,0,0\n1.05,0,0\n"},
                                                       {"ms", "time,v,p\n1000,0,0\n1050,0,0\n"},
                                                       {"us", "time,v,p\n1000000,0,0\n1050000,0,0\n"},
                                                       {"ns", "time,v,p\n1e9,0,0\n1.05e9,0,0\n"}};
  for (const auto& [unit, text] : texts) {
    ChannelMap map = small_map();
    map.time_unit = unit;
    const Log log = read(text, map);
    EXPECT_THAT(log.first_time, DoubleEq(1)) << unit;
    EXPECT_NEAR(log.time_s[1], 0.05, 1e-12) << unit;
  }
}

TEST(Parse, KeepsSmallStepsOfAClockCountedFrom1970) {
  const Log log = read("time,v,p\n1692117187.46380758,0,0\n1692117187.50380754,0,0\n");
  // A double near 1.7e9 is spaced 2.4e-7.
  EXPECT_NEAR(log.time_s[1], 0.04, 2.5e-7);
}

TEST(Parse, FindsTheDelimiter) {
  for (const char* text : {"time,v,p\n0,36,1\n0.1,72,2\n", "time;v;p\n0;36;1\n0.1;72;2\n",
                           "time\tv\tp\n0\t36\t1\n0.1\t72\t2\n"}) {
    EXPECT_THAT(read(text)[Signal::kSpeed], ElementsAre(10, 20)) << text;
  }
}

TEST(Parse, FindsTheDelimiterThatHoldsTheTimeColumnNotTheOneSeenMost) {
  const Log log = read("time;v;p;notes, with, many, commas\n0;36;1;a\n0.1;72;2;b\n");
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, 20));
}

TEST(Parse, TakesTheDelimiterOfTheMap) {
  ChannelMap map = small_map();
  map.delimiter = "|";
  EXPECT_THAT(read("time|v|p\n0|36|1\n0.1|72|2\n", map)[Signal::kSpeed], ElementsAre(10, 20));
}

TEST(Parse, DropsTheHeaderPrefix) {
  ChannelMap map = small_map();
  map.header_prefix = "# ";
  EXPECT_THAT(read("# time,v,p\n0,36,1\n0.1,72,2\n", map)[Signal::kSpeed], ElementsAre(10, 20));
}

TEST(Parse, ReadsQuotedHeadersAndCells) {
  ChannelMap map = small_map();
  map.channels[1].column = "p, \"front\"";
  const Log log = read("\"time\", \"v\" ,\"p, \"\"front\"\"\"\n\"0\",\"36\",1\n0.1, 72 ,\"2\"\n", map);
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, 20));
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 2e5));
}

TEST(Parse, ReadsSignsAndExponents) {
  const Log log = read("time,v,p\n0,+36,-1e0\n1e-1,7.2E1,+.5\n");
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, 20));
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(-1e5, 0.5e5));
}

TEST(Parse, AcceptsBlankLinesAroundTheSamples) {
  EXPECT_THAT(read("\n  \ntime,v,p\n0,36,1\n0.1,72,2\n\n\n").repairs, IsEmpty());
}

TEST(Parse, KeepsUnevenRisingTimeStamps) {
  const Log log =
      read("time,v,p\n0,36,1\n0.001,36,1\n0.02,36,1\n0.021,36,1\n0.04,36,1\n0.06,36,1\n0.08,36,1\n");
  EXPECT_THAT(log.time_s, ElementsAre(0, 0.001, 0.02, 0.021, 0.04, 0.06, 0.08));
  ASSERT_EQ(log.repairs.size(), 1u);
  EXPECT_EQ(
      log.repairs[0].text,
      "log.csv: time steps spread from 1 ms to 20 ms (median 19 ms); the time stamps are used as written");
}

}  // namespace
}  // namespace brakeward::recording
