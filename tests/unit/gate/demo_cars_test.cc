// The vehicle documents of the demo cars: whole, possible, and saying of every value where it comes from.
#include <fstream>
#include <regex>
#include <string>

#include "compile/check_vehicle.h"
#include "gate/vehicle_sheet.h"
#include "gtest/gtest.h"
#include "scenario/library.h"

namespace brakeward::gate {
namespace {

class DemoCar : public testing::TestWithParam<const char*> {
 protected:
  std::string file() const {
    const std::string name = GetParam();
    return std::string(BRAKEWARD_SOURCE_DIR) + "/scenarios/" + name + "/vehicle/" + name + ".textproto";
  }
};

TEST_P(DemoCar, IsWholeAndHasASheet) {
  document::Faults faults;
  const auto car = scenario::load_document<v1::Vehicle>(file(), faults);
  compile::check_vehicle(car.message, file(), faults);
  ASSERT_EQ(faults.render(), "");
  const auto sheet = make_vehicle_sheet(car.message, nullptr, 0);
  ASSERT_TRUE(sheet.ok()) << sheet.status();
  EXPECT_EQ(sheet->name, GetParam());
}

// A value is a number behind a field's name; the points of a curve are told of where the curve begins.
TEST_P(DemoCar, SaysOfEveryValueWhereItComesFrom) {
  std::ifstream in(file());
  const std::regex value(R"(^\s*(?!points)[a-z_]+[^#"]*: -?[0-9])"), told("# *(measured|typical|invented)");
  int values = 0, number = 0;
  for (std::string line; std::getline(in, line);) {
    ++number;
    if (!std::regex_search(line, value)) continue;
    ++values;
    EXPECT_TRUE(std::regex_search(line, told)) << file() << ":" << number << ": " << line;
  }
  EXPECT_GT(values, 100);
}

INSTANTIATE_TEST_SUITE_P(All, DemoCar, testing::Values("sorrel", "bracken", "thistle", "yarrow"),
                         [](const auto& p) { return std::string(p.param); });

}  // namespace
}  // namespace brakeward::gate
