#include "logs.h"

namespace brakeward::recording {
namespace {

using ::testing::DoubleNear;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

constexpr double kRoundingShare = 1e-9;

TEST(Repairs, ByteOrderMarkIsDropped) {
  const Log log = read("\xEF\xBB\xBFtime,v,p\n0,36,1\n0.1,72,2\n");
  EXPECT_EQ(repairs(log), "log.csv: byte order mark dropped\n");
}

TEST(Repairs, CarriageReturnsAreAccepted) {
  const Log log = read("time,v,p\r\n0,36,1\r\n0.1,72,2\r\n");
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 2e5));
  EXPECT_EQ(repairs(log), "log.csv: line ends CRLF accepted\n");
}

TEST(Repairs, DecimalCommasAreReadWhereTheDelimiterIsAnother) {
  for (const char* text : {"time;v;p\n0;36;1\n0,1;72;2,5\n", "time\tv\tp\n0\t36\t1\n0,1\t72\t2,5\n"}) {
    const Log log = read(text);
    EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 2.5e5));
    EXPECT_EQ(repairs(log), "log.csv: from line 3: 2 cells with a decimal comma read as numbers\n");
  }
}

TEST(Repairs, RepeatedTimeStampsAreDroppedAndTheFirstStays) {
  const Log log = read("time,v,p\n0,36,1\n0,72,2\n0.1,36,3\n0.1,36,4\n0.1,36,5\n0.2,36,6\n");
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 3e5, 6e5));
  EXPECT_EQ(
      repairs(log),
      "log.csv: line 3, column 'time' (1) and on: 3 rows with the time stamp of the row before dropped\n");
}

TEST(Repairs, MissingCellsAreBridgedLinearlyAndHeldAtTheEnds) {
  const Log log = read("time,v,p\n0,36,\n0.05,nan,1\n0.1,72,N/A\n0.15,72,-\n0.2,NaN,4\n");
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, DoubleNear(15, kRoundingShare), 20, 20, 20));
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 1e5, DoubleNear(2e5, kRoundingShare * 1e5),
                                                       DoubleNear(3e5, kRoundingShare * 1e5), 4e5));
  EXPECT_EQ(repairs(log),
            "log.csv: line 3, column 'v' (2) and on: 2 missing cells bridged linearly\n"
            "log.csv: line 2, column 'p' (3) and on: 3 missing cells bridged linearly\n");
}

TEST(Repairs, MissingCellsAreBridgedByTimeNotByCount) {
  const Log log = read("time,v,p\n0,36,1\n0.03,,1\n0.1,72,1\n");
  EXPECT_THAT(log[Signal::kSpeed][1], DoubleNear(13, kRoundingShare));
}

TEST(Repairs, ASingleMissingCellIsBridgedEvenInASlowLog) {
  const Log log = read("time,v,p\n0,36,1\n0.15,,1\n0.3,72,1\n");
  EXPECT_THAT(log[Signal::kSpeed][1], DoubleNear(15, kRoundingShare));
  EXPECT_EQ(repairs(log), "log.csv: line 3, column 'v' (2): 1 missing cell bridged linearly\n");
}

TEST(Repairs, ShortGapsInTimeAreTold) {
  const Log log = read("time,v,p\n0,36,1\n0.05,36,1\n0.1,36,1\n0.25,36,1\n0.3,36,1\n");
  EXPECT_EQ(
      repairs(log),
      "log.csv: time steps spread from 50 ms to 150 ms (median 50 ms); the time stamps are used as written; "
      "1 step longer than 1.5 medians bridged linearly, the first before line 5\n");
}

TEST(Repairs, BlankLinesBetweenSamplesAreSkipped) {
  const Log log = read("time,v,p\n0,36,1\n\n0.1,72,2\n");
  EXPECT_EQ(log.time_s.size(), 2u);
  EXPECT_EQ(repairs(log), "log.csv: from line 3: 1 blank line skipped\n");
}

TEST(Repairs, ALastLineWithoutALineEndIsReadAndTold) {
  const Log log = read("time,v,p\n0,36,1\n0.1,72,2");
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 2e5));
  EXPECT_EQ(repairs(log),
            "log.csv: line 3: the last line has no line end: check that the file was not cut off\n");
}

TEST(Repairs, ADelimiterAfterTheLastCellIsAccepted) {
  const Log log = read("time,v,p\n0,36,1,\n0.1,72,2,\n");
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(1e5, 2e5));
  EXPECT_EQ(repairs(log), "log.csv: from line 2: 2 rows with a delimiter after their last cell accepted\n");
}

TEST(Repairs, ADelayMovesAChannelEarlierAndHoldsItsEnd) {
  ChannelMap map = small_map();
  map.channels[1].delay_s = 0.15;
  const Log log = read("time,v,p\n0,36,0\n0.1,36,1\n0.2,36,2\n0.3,36,3\n0.4,36,4\n", map);
  const auto bar = [](double x) { return DoubleNear(x * 1e5, kRoundingShare * 1e5); };
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(bar(1.5), bar(2.5), bar(3.5), bar(4), bar(4)));
  EXPECT_THAT(log[Signal::kSpeed], ElementsAre(10, 10, 10, 10, 10));
  EXPECT_EQ(repairs(log),
            "log.csv: column 'p' (3): moved earlier by 150 ms; its last 150 ms hold the last value\n");
}

TEST(Repairs, ANegativeDelayMovesAChannelLaterAndHoldsItsStart) {
  ChannelMap map = small_map();
  map.channels[1].delay_s = -0.1;
  const Log log = read("time,v,p\n0,36,5\n0.1,36,6\n0.2,36,7\n", map);
  EXPECT_THAT(log[Signal::kFrontPressure], ElementsAre(5e5, 5e5, DoubleNear(6e5, 1e-4)));
  EXPECT_THAT(repairs(log), HasSubstr("moved later by 100 ms; its first 100 ms hold the first value"));
}

}  // namespace
}  // namespace brakeward::recording
