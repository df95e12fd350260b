#include "report/table.h"

#include <gtest/gtest.h>

namespace brakeward::report {
namespace {

TEST(Table, AlignsItsColumns) {
  Table table({{}, {true}, {false, 1}, {}});
  table.add({"name", "value", "", "verdict"});
  table.add({"a", "1.5", "m", "pass"});
  table.add({"longer name", "12.5", "m/s", "fail"});
  EXPECT_EQ(table.text(),
            "name         value      verdict\n"
            "a              1.5 m    pass\n"
            "longer name   12.5 m/s  fail\n");
  EXPECT_EQ(table.line(1), "a              1.5 m    pass");
}

TEST(Table, CountsCodePointsNotBytes) {
  Table table({{}, {}});
  table.add({"\xc2\xb5\xe2\x89\xa4", "x"});
  table.add({"ab", "x"});
  EXPECT_EQ(table.text(), "\xc2\xb5\xe2\x89\xa4  x\nab  x\n");
}

TEST(Table, ALongCellPushesItsOwnRowOnly) {
  Table table({{}, {}});
  table.add({std::string(kWidestCell + 1, 'x'), "1"});
  table.add({"ab", "2"});
  EXPECT_EQ(table.text(), std::string(kWidestCell + 1, 'x') + "  1\nab  2\n");
}

TEST(Table, TheLastColumnIsPaddedOnTheLeftOnly) {
  Table left({{}, {}}), right({{}, {true}});
  for (Table* table : {&left, &right}) {
    table->add({"a", "1"});
    table->add({"b", "10"});
  }
  EXPECT_EQ(left.text(), "a  1\nb  10\n");
  EXPECT_EQ(right.text(), "a   1\nb  10\n");
}

}  // namespace
}  // namespace brakeward::report
