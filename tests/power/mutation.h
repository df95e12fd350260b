// Changes of a calibration, made by rule: every number up and down.
#pragma once

#include <string>
#include <vector>

#include "brakeward/v1/calibration.pb.h"

namespace brakeward::power {

struct Mutation {
  std::string address;
  double before = 0, after = 0;
  std::string refused;  // why the document is refused; empty where it is not
  v1::Calibration calibration;
};

// One change up and one down of every number of the calibration that is set, in schema order, of `share` of
// the effect size of its field. Points of a curve move in y. A number whose effect is relative and that is 0
// has none and is left out. The calibration has its defaults resolved.
std::vector<Mutation> mutations_of(const v1::Calibration& calibration, double share);

}  // namespace brakeward::power
