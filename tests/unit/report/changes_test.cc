#include "report/changes.h"

#include <gtest/gtest.h>

namespace brakeward::report {
namespace {

TEST(Changes, StandInColumns) {
  EXPECT_EQ(render_changes({{"pedal.dead_band_n", "15 N", "16 N"},
                            {"balance.steps[\"+2\"].front_percent", "62 %", "unset"}}),
            "address                            before  after\n"
            "pedal.dead_band_n                  15 N    16 N\n"
            "balance.steps[\"+2\"].front_percent  62 %    unset\n");
  EXPECT_EQ(render_changes({}), "");
}

TEST(Changes, ALongValuePushesItsOwnLineOnly) {
  const std::string text = render_changes({{"a", std::string(500, 'x'), "1"}, {"b", "2", "3\x1b[31m"}});
  EXPECT_NE(text.find("\nb        2       3\xef\xbf\xbd[31m\n"), std::string::npos) << text;
}

TEST(Changes, AsMarkdownTheyAreEscapedAndCapped) {
  EXPECT_EQ(render_changes_markdown(
                {{"balance.steps[\"+2\"]", "a | b", "3 %"}, {"x", "1", "2"}, {"y", "1", "2"}}, 1),
            "| address | before | after |\n| --- | ---: | ---: |\n"
            "| balance.steps&#91;\"+2\"&#93; | a &#124; b | 3 % |\n\nand 2 more values.\n");
  EXPECT_EQ(render_changes_markdown({}, 1), "");
}

}  // namespace
}  // namespace brakeward::report
