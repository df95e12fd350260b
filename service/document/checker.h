// Shared by check.cc and check_curve.cc; not part of the room's face.
#pragma once

#include <string>

#include "brakeward/v1/common.pb.h"
#include "document/check.h"
#include "document/schema.h"

namespace brakeward::document {

// An address for people (items by name) and the same with positions, to look up its line.
struct Address {
  std::string shown;
  std::string path;
};
Address child_of(const Address& parent, const std::string& field);

// Collects faults; knows where addresses stand.
class FaultSink {
 public:
  explicit FaultSink(const CheckContext& context) : context_(context) {}

  // At the value itself, or at the nearest block around it that has a line.
  void add(const Address& address, std::string text);
  // For something that is not there: dropped when the address, or a block around it, is excused.
  void add_missing(const Address& address, std::string text);
  Faults take() { return std::move(faults_); }

 private:
  const CheckContext& context_;
  Faults faults_;
};

// Empty when `value` is finite and in range, else the sentence.
std::string number_fault(double value, const v1::Quantity& quantity, const std::string& meaning);

void check_curve(const v1::Curve& curve, const v1::CurveAxes& axes, const Address& address, FaultSink* sink);

}  // namespace brakeward::document
