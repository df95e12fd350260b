// The demo cars as messages, and their sheets, for the tests of the vehicle sheet.
#pragma once

#include <string>

#include "demo_documents.h"
#include "gate/vehicle_sheet.h"
#include "gtest/gtest.h"

namespace brakeward::gate {

inline void set_constant(v1::Curve* curve, double value) {
  curve->clear_points();
  v1::CurvePoint& p = *curve->add_points();
  p.set_x(20);
  p.set_y(value);
}

inline VehicleSheet sheet_of(const v1::Vehicle& v, const v1::Calibration* c = nullptr, double cargo_kg = 0) {
  const auto sheet = make_vehicle_sheet(v, c, cargo_kg);
  EXPECT_TRUE(sheet.ok()) << sheet.status();
  return *sheet;
}

}  // namespace brakeward::gate
