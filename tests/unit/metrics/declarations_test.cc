#include "metrics/declarations.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>
#include <sstream>

#include "measure/catalogue.h"
#include "metrics/result_metrics.h"
#include "metrics/service_metrics.h"
#include "unit/metrics/sample_builds.h"

namespace brakeward::metrics {
namespace {

// Type and help of each family of a page.
std::map<std::string, std::pair<std::string, std::string>> families_on(const std::string& page) {
  std::map<std::string, std::pair<std::string, std::string>> families;
  std::istringstream lines(page);
  for (std::string line; std::getline(lines, line);) {
    const size_t name = line.find(' ', 2) + 1, text = line.find(' ', name) + 1;
    if (line.starts_with("# TYPE ")) families[line.substr(name, text - 1 - name)].first = line.substr(text);
    if (line.starts_with("# HELP ")) families[line.substr(name, text - 1 - name)].second = line.substr(text);
  }
  return families;
}

void expect_declared(const std::vector<MetricDeclaration>& declared, const std::string& page) {
  auto shown = families_on(page);
  for (const MetricDeclaration& metric : declared) {
    SCOPED_TRACE(metric.name);
    const auto found = shown.find(std::string(metric.name));
    ASSERT_NE(found, shown.end());
    // The text format has no state set: it is a gauge there.
    EXPECT_EQ(found->second.first, metric.type == MetricType::kStateSet ? "gauge" : word(metric.type));
    EXPECT_EQ(found->second.second, metric.help);
    shown.erase(found);
  }
  EXPECT_TRUE(shown.empty()) << shown.begin()->first << " is on the page but not declared";
}

// Every label of every series on the page is declared, and so is its value where the list is closed.
void expect_declared_labels(const std::string& page) {
  for (const std::string& line : series_of_page(page)) {
    std::string name = line.substr(0, line.find_first_of("{ "));
    for (const std::string suffix : {"_bucket", "_sum", "_count"}) {
      if (name.ends_with("_seconds" + suffix)) name.resize(name.size() - suffix.size());
    }
    for (const LabelDeclaration& label : declaration(name).labels) {
      const std::string start = std::string(label.name) + "=\"";
      const size_t at = line.find(start);
      ASSERT_NE(at, line.npos) << line;
      if (label.values.empty()) continue;
      const size_t from = at + start.size();
      EXPECT_THAT(label.values, testing::Contains(line.substr(from, line.find('"', from) - from))) << line;
    }
  }
}

TEST(Declarations, ServicePageHasExactlyTheDeclaredFamilies) {
  const std::string page = ServiceMetrics("1.2.3", 3, {"CheckService/Check"}).page();
  expect_declared(service_declarations(), page);
  expect_declared_labels(page);
}

TEST(Declarations, ResultPageHasExactlyTheDeclaredFamilies) {
  std::vector<verdict::MeasureResult> every;
  for (const measure::MeasureInfo& info : measure::catalogue())
    every.push_back(measured(info.name, 10.5, 10, 2));
  ResultMetrics metrics;
  ASSERT_TRUE(
      metrics.set("juniper", {event_build("juniper", "b1", {scenario("stop", every)})}, std::nullopt).ok());
  expect_declared(result_declarations(), metrics.page());
  expect_declared_labels(metrics.page());
}

TEST(Declarations, NamesAreUniqueSortedAndPrefixed) {
  for (const auto* list : {&service_declarations(), &result_declarations()}) {
    std::string last;
    for (const MetricDeclaration& metric : *list) {
      EXPECT_LT(last, metric.name);
      last = std::string(metric.name);
      EXPECT_TRUE(last.starts_with("brakeward_")) << last;
      EXPECT_EQ(last.ends_with("_total"), metric.type == MetricType::kCounter) << last;
      EXPECT_EQ(metric.buckets.empty(), metric.type != MetricType::kHistogram) << last;
      EXPECT_FALSE(metric.help.empty()) << last;
    }
  }
}

// gRPC's list, "Status codes and their use in gRPC", codes 0 to 16 (from memory).
TEST(Declarations, CodesAreThoseOfGrpc) {
  const auto codes = rpc_code_words();
  ASSERT_EQ(codes.size(), 17u);
  EXPECT_EQ(codes[0], "OK");
  EXPECT_EQ(codes[5], "NOT_FOUND");
  EXPECT_EQ(codes[8], "RESOURCE_EXHAUSTED");
  EXPECT_EQ(codes[14], "UNAVAILABLE");
  EXPECT_EQ(codes[16], "UNAUTHENTICATED");
  EXPECT_EQ(std::set<std::string_view>(codes.begin(), codes.end()).size(), 17u);
}

TEST(Declarations, EveryUnitOfTheCatalogueHasExactlyOneFamily) {
  std::set<std::string_view> used;
  for (const measure::MeasureInfo& info : measure::catalogue()) {
    const UnitFamily* family = find_unit_family(info.unit);
    ASSERT_NE(family, nullptr) << info.name << " in " << info.unit;
    EXPECT_EQ(std::string(family->value) + "_baseline", family->baseline);
    EXPECT_EQ(declaration(family->value).unit, declaration(family->baseline).unit);
    EXPECT_TRUE(family->multiplier == 1 || family->divisor == 1) << info.unit;
    used.insert(info.unit);
  }
  std::set<std::string_view> listed;
  for (const UnitFamily& family : unit_families()) {
    EXPECT_TRUE(listed.insert(family.unit).second) << family.unit << " twice";
  }
  EXPECT_EQ(used, listed);
}

// What 12.5 trade units read in base units: milli is 10^-3 and percent 10^-2 (SI brochure, 9th edition, table
// 7 and 5.4.7), 1 bar is 100 kPa by definition; all three from memory.
TEST(Declarations, EveryMeasureIsShownInBaseUnits) {
  const std::map<std::string_view, std::pair<std::string, std::string>> expected = {
      {"m", {"distance_meters", "12.5"}},
      {"m/s", {"speed_meters_per_second", "12.5"}},
      {"m/s^2", {"deceleration_meters_per_second_squared", "12.5"}},
      {"s", {"delay_seconds", "12.5"}},
      {"ms", {"delay_seconds", "0.0125"}},
      {"%", {"share_ratio", "0.125"}},
      {"m/s^3", {"jerk_meters_per_second_cubed", "12.5"}},
      {"bar/s", {"pressure_rate_pascals_per_second", "1250000"}},
      {"N m", {"moment_newton_meters", "12.5"}},
      {"bar", {"pressure_pascals", "1250000"}},
      {"degC", {"temperature_celsius", "12.5"}},
      {"mm", {"travel_meters", "0.0125"}},
      {"N", {"force_newtons", "12.5"}},
      {"mm s", {"accumulated_travel_meter_seconds", "0.0125"}},
      {"mm s/MJ", {"travel_effort_seconds_per_newton", "1.25e-08"}},
      {"N s/MJ", {"force_effort_seconds_per_meter", "1.25e-05"}},
      {"N s", {"accumulated_force_newton_seconds", "12.5"}},
      {"m/s^2/mm", {"travel_gain_per_second_squared", "12500"}},
      {"m/s^2/N", {"force_gain_per_gram", "0.0125"}},
      {"K", {"temperature_margin_kelvins", "12.5"}},
      {"kJ", {"work_joules", "12500"}},
      {"mm^3", {"wear_cubic_meters", "1.25e-08"}},
  };
  for (const measure::MeasureInfo& info : measure::catalogue()) {
    const auto& [family, value] = expected.at(info.unit);
    const auto page =
        result_page(event_build("juniper", "b1", {scenario("stop", {measured(info.name, 12.5, 12.5, 2)})}));
    ASSERT_TRUE(page.ok());
    const std::string labels =
        "{library=\"juniper\",build=\"b1\",scenario=\"stop\",measure=\"" + std::string(info.name) + "\"}";
    EXPECT_EQ(value_on(*page, "brakeward_" + family + labels), value);
    EXPECT_EQ(value_on(*page, "brakeward_" + family + "_baseline" + labels), value);
  }
}

TEST(DeclarationsDeathTest, AnUndeclaredMetricIsOurOwnBug) {
  EXPECT_DEATH(declaration("brakeward_no_such_metric"), "not declared");
}

}  // namespace
}  // namespace brakeward::metrics
