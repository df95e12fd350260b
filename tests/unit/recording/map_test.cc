#include "logs.h"

namespace brakeward::recording {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr std::string_view kGood = "time,v,p\n0,36,1\n0.1,36,1\n";

TEST(Map, UnknownUnitListsTheAcceptedOnes) {
  ChannelMap map = small_map();
  map.channels[1].unit = "barr";
  EXPECT_EQ(refusal(kGood, map),
            "log.csv: channel map, channel 2 (front_pressure): unit 'barr' is not a unit of a pressure; "
            "accepted: Pa, "
            "kPa, MPa, bar, mbar, psi");
}

TEST(Map, UnitOfAnotherQuantityListsTheAcceptedOnes) {
  ChannelMap map = small_map();
  map.channels[0].unit = "bar";
  EXPECT_EQ(refusal(kGood, map),
            "log.csv: channel map, channel 1 (speed): unit 'bar' is not a unit of a speed; accepted: m/s, "
            "km/h, mph");
}

TEST(Map, RotationalSpeedSaysHowToScaleIt) {
  ChannelMap map = small_map();
  map.channels[0] = {.signal = Signal::kWheelSpeedRearLeft, .column = "v", .unit = "rpm"};
  EXPECT_THAT(refusal(kGood, map),
              HasSubstr("a rotational speed needs unit m/s and the scale rolling radius in m x 0.1047198"));
}

TEST(Map, TimeUnit) {
  ChannelMap map = small_map();
  map.time_unit = "min";
  EXPECT_EQ(refusal(kGood, map),
            "log.csv: channel map: time_unit 'min' is not a unit of a time; accepted: s, ms, us, ns");
}

TEST(Map, MissingColumnListsTheColumnsAndTheNearest) {
  EXPECT_EQ(refusal("time,V_veh,Press Front\n0,36,1\n0.1,36,1\n"),
            "log.csv: line 1: no column 'v' (speed) The file has: 'time', 'V_veh', 'Press Front'\n"
            "log.csv: line 1: no column 'p' (front_pressure)");
  ChannelMap map = small_map();
  map.channels[1].column = "press_front";
  EXPECT_EQ(
      refusal("time,v,Press Front\n0,36,1\n0.1,36,1\n", map),
      "log.csv: line 1: no column 'press_front' (front_pressure); did you mean 'Press Front'? The file has: "
      "'time', 'v', 'Press Front'");
}

TEST(Map, ManyColumnsAreCut) {
  std::string header = "a0";
  for (int i = 1; i < 60; ++i) header += absl::StrFormat(",a%d", i);
  EXPECT_THAT(refusal(header + "\n"), AllOf(HasSubstr("'a39' and 20 more"), Not(HasSubstr("'a40'"))));
}

TEST(Map, MissingHeaderHints) {
  EXPECT_THAT(refusal("0,36,1\n0.1,36,1\n"), HasSubstr("The first line holds numbers: add a header line"));
  EXPECT_THAT(refusal("# time,v,p\n0,36,1\n"),
              HasSubstr("set header_prefix to the characters before the first name"));
  EXPECT_THAT(refusal("session 12\ntime,v,p\n0,36,1\n"),
              HasSubstr("delete lines that stand above the header"));
  ChannelMap map = small_map();
  map.delimiter = ",";
  EXPECT_THAT(refusal("time;v;p\n0;36;1\n", map),
              HasSubstr("set delimiter to the character between the names"));
}

TEST(Map, HeaderPrefixThatIsNotThere) {
  ChannelMap map = small_map();
  map.header_prefix = "# ";
  EXPECT_EQ(refusal(kGood, map),
            "log.csv: line 1: the header starts with 'ti', not with header_prefix '# ': correct or empty "
            "header_prefix");
}

TEST(Map, ColumnTwiceInTheHeader) {
  EXPECT_EQ(refusal("time,v,p,v\n0,36,1,36\n0.1,36,1,36\n"),
            "log.csv: line 1: column 'v' (speed) stands in the header twice, at 2 and 4: rename one of them");
  EXPECT_EQ(read("time,v,p,x,x\n0,36,1,0,0\n0.1,36,1,0,0\n").time_s.size(), 2u)
      << "unmapped columns do not matter";
}

TEST(Map, ColumnOrSignalMappedTwice) {
  ChannelMap map = small_map();
  map.channels.push_back({.signal = Signal::kRearPressure, .column = "p", .unit = "bar"});
  map.channels.push_back({.signal = Signal::kSpeed, .column = "w", .unit = "m/s"});
  map.channels.push_back({.signal = Signal::kAccelerator, .column = "time", .unit = "%"});
  const std::string message = refusal(kGood, map);
  EXPECT_THAT(message, HasSubstr("channel map, channel 3 (rear_pressure): column 'p' is mapped already, to "
                                 "front_pressure by channel 2: a column can carry one signal"));
  EXPECT_THAT(message,
              HasSubstr("channel map, channel 4 (speed): the signal is mapped already by channel 1: keep one "
                        "of them"));
  EXPECT_THAT(message,
              HasSubstr("channel map, channel 5 (accelerator): column 'time' is the time column too"));
}

TEST(Map, NumbersThatCannotBeUsed) {
  ChannelMap map = small_map();
  map.longest_gap_s = 0;
  map.channels[0].scale = 0;
  map.channels[0].offset = std::numeric_limits<double>::quiet_NaN();
  map.channels[1].delay_s = std::numeric_limits<double>::infinity();
  const std::string message = refusal(kGood, map);
  EXPECT_THAT(message, HasSubstr("channel map: the longest gap is 0 s; it must be above 0"));
  EXPECT_THAT(message, HasSubstr("channel 1 (speed): scale is 0; it must be a number other than 0"));
  EXPECT_THAT(message, HasSubstr("channel 1 (speed): offset is nan; it must be finite"));
  EXPECT_THAT(message, HasSubstr("channel 2 (front_pressure): delay is inf; it must be finite"));
}

TEST(Map, DelayLongerThanTheLog) {
  ChannelMap map = small_map();
  map.channels[1].delay_s = 0.5;
  EXPECT_EQ(refusal(kGood, map),
            "log.csv: column 'p' (3): the delay of 500 ms is not shorter than the log (100 ms)");
}

TEST(Map, ThingsNotSet) {
  EXPECT_EQ(refusal(kGood, ChannelMap()),
            "log.csv: channel map: time_column is not set\nlog.csv: channel map: no channels are mapped");
  ChannelMap map = small_map();
  map.channels[0].column = "";
  map.channels[1].signal = Signal::kCount;
  EXPECT_THAT(refusal(kGood, map), AllOf(HasSubstr("channel 1 (speed): column is not set"),
                                         HasSubstr("channel 2 (unknown): the signal is not known")));
}

TEST(Map, DelimiterThatCannotBeOne) {
  for (const char* delimiter : {", ", " ", "\"", ".", "1", "e", "\n"}) {
    ChannelMap map = small_map();
    map.delimiter = delimiter;
    EXPECT_THAT(refusal(kGood, map),
                HasSubstr("cannot be used; set one character such as ',', ';' or a tab, or leave it empty"));
  }
}

TEST(Map, FaultsOfMapAndHeaderAreToldTogether) {
  ChannelMap map = small_map();
  map.channels[0].unit = "knots";
  EXPECT_THAT(
      refusal("time,v,q\n0,1,2\n0.1,1,2\n", map),
      AllOf(HasSubstr("unit 'knots' is not a unit of a speed"), HasSubstr("no column 'p' (front_pressure)")));
}

}  // namespace
}  // namespace brakeward::recording
