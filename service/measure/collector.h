// How measures are put together from what was folded. Internal to measure.
#pragma once

#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "math/check.h"
#include "measure/catalogue.h"

namespace brakeward::measure {

inline MeasureValue measured(double value) {
  return {MeasureValue::State::kMeasured, value, {}};
}
inline MeasureValue never(std::string_view reason) {
  return {MeasureValue::State::kNeverReached, 0, reason};
}
inline MeasureValue not_applicable(std::string_view reason) {
  return {MeasureValue::State::kNotApplicable, 0, reason};
}

// Collects values by name, so that the catalogue alone decides the order.
class Collector {
 public:
  // `otherwise` is why a measure that is never put has no value; static text.
  explicit Collector(std::string_view otherwise) : values_(catalogue().size(), not_applicable(otherwise)) {}
  void put(std::string_view name, MeasureValue value) {
    const std::optional<int> index = find_measure(name);
    math::check(index.has_value(), "a measure that is made is not in the catalogue");
    values_[static_cast<size_t>(index.value_or(0))] = value;
  }
  std::vector<MeasureValue> take() { return std::move(values_); }

 private:
  std::vector<MeasureValue> values_;
};

}  // namespace brakeward::measure
