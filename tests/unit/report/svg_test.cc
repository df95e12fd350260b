// Axes and marks of small drawings.
#include "report/svg.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "unit/report/drawing_reader.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

void expect_axis(const SvgAxis& axis, double low, double high, double step, int decimals) {
  EXPECT_NEAR(axis.low, low, 1e-9);
  EXPECT_NEAR(axis.high, high, 1e-9);
  EXPECT_NEAR(axis.step, step, 1e-12);
  EXPECT_EQ(axis.decimals, decimals);
}

TEST(SvgAxis, TakesRoundStepsAroundItsValues) {
  expect_axis(axis_over({3.3, 15.6}, "", true), 0, 20, 5, 0);
  expect_axis(axis_over({3.3, 15.6}, "", false), 0, 20, 5, 0);
  expect_axis(axis_over({70.2, 88.9}, "", false), 70, 90, 5, 0);
  expect_axis(axis_over({21.48, 21.61}, "", false), 21.45, 21.65, 0.05, 2);
  expect_axis(axis_over({-40, 130}, "", true), -50, 150, 50, 0);
  expect_axis(axis_over({0.2, 1.0}, "", true), 0, 1, 0.2, 1);
}

TEST(SvgAxis, StandsWithoutARangeOfItsOwn) {
  for (const std::vector<double>& values : {std::vector<double>{},
                                            {NAN},
                                            {kInfinity, -kInfinity},
                                            {1e300, -1e300},
                                            {0.0},
                                            {-7.0},
                                            {1e14},
                                            {5e-324}}) {
    for (const bool from_zero : {false, true}) {
      const SvgAxis axis = axis_over(values, "", from_zero);
      EXPECT_LT(axis.low, axis.high);
      EXPECT_GT(axis.step, 0);
      EXPECT_LE((axis.high - axis.low) / axis.step, 12);
    }
  }
}

TEST(Svg, PutsMarksWhereTheAxesSayAndLeavesOutTheRest) {
  Svg drawing({0, 10, 2, 0, "effort <mm>"}, {5, 6, 0.5, 1, ""});
  drawing.axes();
  drawing.line("candidate", {{1, 5.5}, {2, NAN}, {4, 5.25}, {12, 5.5}, {9, 5.75}}, Marker::kCircle);
  drawing.dots("baseline", {{3, 5.125, "a <b>"}, {3, kInfinity, "far"}, {-1, 5.5, "left"}}, Marker::kSquare);
  const std::string svg = drawing.svg("what \"is\" drawn");
  EXPECT_THAT(svg, HasSubstr("aria-label=\"what &quot;is&quot; drawn\""));
  EXPECT_THAT(svg, HasSubstr("effort &lt;mm&gt;"));
  EXPECT_THAT(svg, HasSubstr("<title>a &lt;b&gt;</title>"));
  EXPECT_THAT(svg, Not(HasSubstr("far")));
  const ReadDrawing read(svg, "what ");
  const auto line = read.markers("candidate"), dots = read.markers("dot baseline");
  ASSERT_EQ(line.size(), 3u);
  EXPECT_NEAR(line[1].x, 4, read.x_resolution());
  EXPECT_NEAR(line[1].y, 5.25, read.y_resolution());
  ASSERT_EQ(dots.size(), 1u);
  EXPECT_NEAR(dots[0].x, 3, read.x_resolution());
  EXPECT_NEAR(dots[0].y, 5.125, read.y_resolution());
  // A gap breaks the line: it is begun three times and never drawn on.
  const std::regex path("<path class=\"line candidate\" d=\"(M[^ML\"]*){3}\"/>");
  EXPECT_TRUE(std::regex_search(svg, path)) << svg;
}

}  // namespace
}  // namespace brakeward::report
