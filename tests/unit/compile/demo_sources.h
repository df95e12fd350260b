// The demo car, its released calibration and a step of the hand control, for tests that compile them.
#pragma once

#include <string>

#include "compile/compile.h"
#include "demo_documents.h"
#include "gtest/gtest.h"

namespace brakeward::compile {

class DemoSources : public testing::Test {
 protected:
  v1::Vehicle vehicle = tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");
  v1::Calibration calibration =
      tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  v1::Calibration reference = calibration;
  v1::Scenario scenario;
  recording::Log log;

  void SetUp() override {
    scenario_from(R"(name: "made" purpose: "test" scenario_class: SCENARIO_CLASS_STEP
                     synthetic { shape: SYNTHETIC_SHAPE_STEP control: REQUEST_CONTROL_HAND travel_mm: 20
                                 onset_s: 0.5 hold_s: 1.0 }
                     entry_point: ENTRY_POINT_REQUEST end_rule: END_RULE_END_OF_INPUT initial_speed_kph: 90
                     road { friction_left { points { x: 0 y: 1 } } })");
  }
  void scenario_from(const std::string& text) {
    scenario.Clear();
    document::parse(text, "made.textproto", &scenario);
    document::resolve_defaults(&scenario);
  }
  absl::StatusOr<CompiledScenario> compiled() {
    return compile({vehicle, calibration, reference, scenario, &log});
  }
  CompiledScenario good() {
    auto made = compiled();
    EXPECT_TRUE(made.ok()) << made.status();
    return made.ok() ? *made : CompiledScenario{};
  }
  std::string refusal() {
    const auto made = compiled();
    EXPECT_EQ(made.status().code(), absl::StatusCode::kInvalidArgument);
    return std::string(made.status().message());
  }
};

}  // namespace brakeward::compile
