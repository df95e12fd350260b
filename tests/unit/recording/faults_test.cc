#include "logs.h"

namespace brakeward::recording {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

size_t lines(std::string_view text) {
  return 1 + static_cast<size_t>(std::count(text.begin(), text.end(), '\n'));
}

TEST(Faults, EmptyFiles) {
  for (const char* text : {"", "\n\n", "  \r\n", "\xEF\xBB\xBF", "\xEF\xBB\xBF\n"}) {
    EXPECT_EQ(refusal(text), "log.csv: is empty: a header line and samples are needed");
  }
}

TEST(Faults, HeaderOnlyAndOneSample) {
  EXPECT_EQ(refusal("time,v,p\n"), "log.csv: holds a header but no samples: at least two are needed");
  EXPECT_EQ(refusal("time,v,p\n0,1,2\n"), "log.csv: holds one sample: at least two are needed");
  EXPECT_EQ(refusal("time,v,p\n0,1,2\n0,1,2\n"), "log.csv: holds one sample: at least two are needed");
}

TEST(Faults, NotAText) {
  EXPECT_THAT(refusal(std::string_view("\xFF\xFEt\0i\0", 6)),
              HasSubstr("is encoded as UTF-16: save it as UTF-8"));
  EXPECT_EQ(refusal(std::string_view("time,v,p\n0,\0,1\n", 15)),
            "log.csv: line 2: holds a zero byte: not a text file");
  EXPECT_THAT(refusal("time,v,p\r0,1,2\r"),
              HasSubstr("lone carriage return: save it with LF or CRLF line ends"));
}

TEST(Faults, CellsThatAreNoNumbers) {
  EXPECT_EQ(
      refusal("time,v,p\n0,36,abc\n0.1,1e999,2\n0.2,Inf,1..2\n0.3,0x10,1 2\n"),
      "log.csv: line 2, column 'p' (3): 'abc' is not a number\n"
      "log.csv: line 3, column 'v' (2): '1e999' is beyond the range of a double\n"
      "log.csv: line 4, column 'v' (2): 'Inf' is not finite: empty the cell if the sensor gave nothing\n"
      "log.csv: line 4, column 'p' (3): '1..2' is not a number\n"
      "log.csv: line 5, column 'v' (2): '0x10' is not a number\n"
      "log.csv: line 5, column 'p' (3): '1 2' is not a number");
}

TEST(Faults, UnprintableCellsAreEscapedAndCut) {
  const std::string message = refusal("time,v,p\n0,36,\x01\x80\n0.1,36," + std::string(500, 'x') + "\n");
  EXPECT_THAT(message, HasSubstr("'\\x01\\x80' is not a number"));
  EXPECT_THAT(
      refusal("time,v,p\n0,36,°C \"\n0.1,36,\xC2\n0.2,36,\xED\xA0\x80\n"),
      AllOf(HasSubstr("'°C \"' is not"), HasSubstr("'\\xc2' is not"), HasSubstr("'\\xed\\xa0\\x80' is not")));
  EXPECT_THAT(message, HasSubstr("'" + std::string(40, 'x') + "...' is not a number"));
}

TEST(Faults, ATimeCellWithoutATime) {
  EXPECT_THAT(
      refusal("time,v,p\n0,36,1\n,36,1\n0.1,36,1\n"),
      HasSubstr("log.csv: line 3, column 'time' (1): '' is no time: complete the cell or delete the row"));
}

TEST(Faults, TimeThatRunsBack) {
  EXPECT_EQ(refusal("time,v,p\n10.1,36,1\n10.2,36,1\n10.15,36,1\n10.25,36,1\n"),
            "log.csv: line 4, column 'time' (1): time runs back from 10.2 to 10.15 s: sort the rows or cut "
            "the file "
            "into one log each");
}

TEST(Faults, AGapInTime) {
  EXPECT_EQ(
      refusal("time,v,p\n0,36,1\n0.1,36,1\n0.2,36,1\n0.7,36,1\n"),
      "log.csv: line 5: a gap of 500 ms in time, longer than the longest gap of 200 ms: cut the log there or "
      "allow a longer gap");
}

TEST(Faults, AGapInOneChannel) {
  const std::string text =
      "time,v,p\n0,36,1\n0.1,,1\n0.2,,1\n0.3,36,1\n0.4,36,1\n0.5,36,\n0.6,36,\n0.7,36,\n";
  EXPECT_EQ(refusal(text),
            "log.csv: line 3, column 'v' (2): no value up to line 4 (2 cells, 300 ms), longer than the "
            "longest gap of "
            "200 ms: cut the log there or allow a longer gap\n"
            "log.csv: line 7, column 'p' (3): no value up to line 9 (3 cells, 300 ms), longer than the "
            "longest gap of "
            "200 ms: cut the log there or allow a longer gap");
}

TEST(Faults, AChannelWithoutAnyValue) {
  EXPECT_EQ(refusal("time,v,p\n0,36,\n0.1,36,\n"),
            "log.csv: column 'p' (3): holds no value for front_pressure: leave the channel out of the map");
}

TEST(Faults, RaggedRows) {
  const std::string message = refusal("time,v,p\n0,36,1\n0.1,36\n0.2,36,1,9.5\n");
  EXPECT_THAT(message,
              HasSubstr("log.csv: line 3: 2 cells, but the header has 3: the row was cut off: complete or "
                        "delete it"));
  EXPECT_THAT(message,
              HasSubstr("log.csv: line 4: 4 cells, but the header has 3: a cell that holds the delimiter "
                        "must stand in double quotes"));
}

TEST(Faults, DecimalCommasWithACommaAsDelimiter) {
  const std::string message = refusal("time,v,p\n0,0,36,5,1,2\n0,1,36,5,1,3\n");
  EXPECT_THAT(message,
              HasSubstr("log.csv: line 2: 6 cells, but the header has 3: decimal commas cannot be told from "
                        "delimiters here: export with decimal points, or with ';' or tab as delimiter"));
  EXPECT_THAT(refusal("time,v,p\n\"0,0\",\"36,5\",1\n"),
              HasSubstr("'36,5' is not a number: write a decimal point and no thousands separator"));
}

TEST(Faults, DecimalCommasAndPointsInOneFile) {
  EXPECT_THAT(
      refusal("time;v;p\n0;36,5;1\n0.1;36;1\n"),
      HasSubstr(
          "log.csv: line 2: decimal commas, but decimal points from line 3 on: write all numbers with a "
          "decimal point and no thousands separator"));
  EXPECT_THAT(refusal("time;v;p\n0;1.234,5;1\n1;36;1\n"), HasSubstr("'1.234,5' is not a number"));
}

TEST(Faults, RowsOfUnitsAndComments) {
  EXPECT_EQ(refusal("time,v,p\ns,km/h,bar\n0,36,1\n# pit stop\n0.1,36,1\n"),
            "log.csv: line 2: no numbers in the mapped columns ('s' in the time column): a row of units or "
            "remarks is "
            "not read: delete it\n"
            "log.csv: line 4: comment lines are not read: delete the line");
}

TEST(Faults, QuotesThatAreNotClosed) {
  EXPECT_THAT(refusal("time,v,p\n0,\"36,1\n0.1,36,1\n"),
              HasSubstr("log.csv: line 2: a quoted cell is not closed"));
  EXPECT_THAT(refusal("time,v,p\n0,\"36\"x,1\n"),
              HasSubstr("log.csv: line 2: a quoted cell is not closed on its line, or not"));
  EXPECT_THAT(refusal("time,\"v,p\n0,36,1\n"), HasSubstr("log.csv: line 1: a quoted name is not closed"));
}

TEST(Faults, ImplausibleValuesSuggestAnotherUnit) {
  EXPECT_EQ(
      refusal("time,v,p\n0,36,1000\n0.1,36,1200\n0.2,36,30\n"),
      "log.csv: line 2, column 'p' (3): front_pressure 1000 bar is outside the plausible -5 to 400 bar, in 2 "
      "cells: check unit, scale and offset (perhaps the unit is Pa or kPa or mbar or psi), or empty the "
      "cells of "
      "a sensor fault");
}

TEST(Faults, ImplausibleValuesShowWhatTheFileHolds) {
  ChannelMap map = small_map();
  map.channels[1].scale = 1000;
  EXPECT_THAT(
      refusal("time,v,p\n0,36,1\n0.1,36,1\n", map),
      HasSubstr(
          "front_pressure 1000 bar (1 in the file) is outside the plausible -5 to 400 bar, in 2 cells"));
}

TEST(Faults, AWrongTimeUnitIsOneFault) {
  ChannelMap map = small_map();
  EXPECT_EQ(refusal("time,v,p\n0,36,1\n20,36,1\n40,36,1\n", map),
            "log.csv: column 'time' (1): the median time step is 20000 ms, outside 0.1 ms to the longest gap "
            "of 200 "
            "ms: time_unit is probably ms, not s");
  map.time_unit = "ms";
  EXPECT_THAT(refusal("time,v,p\n0,36,1\n0.02,36,1\n0.04,36,1\n", map),
              HasSubstr("time_unit is probably s, not ms"));
}

TEST(Faults, AllAreToldUpToTwentyThenCounted) {
  std::string text = "time,v,p\n";
  for (int i = 0; i < 15; ++i) text += absl::StrFormat("%.2f,x,y\n", i * 0.1);
  const std::string message = refusal(text);
  EXPECT_EQ(lines(message), 21u);
  EXPECT_THAT(message,
              HasSubstr("log.csv: line 11, column 'p' (3): 'y' is not a number\nlog.csv: and 10 more"));
  EXPECT_THAT(message, Not(HasSubstr("line 12")));
}

TEST(Faults, OfDifferentKindsAreToldTogether) {
  EXPECT_THAT(refusal("time,v,p\n0,36,x\n0.1,9999,1\n0.05,36,1\n0.15,36\n0.9,36,1\n"),
              AllOf(HasSubstr("line 2, column 'p' (3): 'x' is not a number"),
                    HasSubstr("line 3, column 'v' (2): speed 9999 km/h"),
                    HasSubstr("line 4, column 'time' (1): time runs back"), HasSubstr("line 5: 2 cells"),
                    HasSubstr("line 6: a gap of 850 ms")));
}

TEST(Faults, TimeStampsAtTheEdgeOfDoublesAreRefused) {
  EXPECT_THAT(refusal("time,v,p\n-1e308,36,1\n1e308,36,1\n"), HasSubstr("the median time step is inf ms"));
  EXPECT_THAT(refusal("time,v,p\n-1e17,36,1\n0.1,36,1\n0.2,36,1\n0.3,36,1\n"), HasSubstr("line 3: a gap of"));
}

}  // namespace
}  // namespace brakeward::recording
