// Builds comparisons over the small catalogue.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "verdict/tolerance.h"

namespace brakeward::verdict {

inline measure::MeasureValue measured(double value) {
  return {measure::MeasureValue::State::kMeasured, value, ""};
}
inline measure::MeasureValue never() {
  return {measure::MeasureValue::State::kNeverReached, 0, ""};
}
inline measure::MeasureValue not_shown(std::string_view reason) {
  return {measure::MeasureValue::State::kNotApplicable, 0, reason};
}

// One scenario in which only the named measures say anything.
class Comparison {
 public:
  Comparison() { input_.values.assign(measure::catalogue().size(), not_shown("not part of this test")); }

  Comparison& value(std::string_view measure, measure::MeasureValue v) {
    input_.values[static_cast<size_t>(*measure::find_measure(measure))] = v;
    return *this;
  }
  Comparison& baseline(std::string measure, std::optional<double> v, double spread = 0) {
    input_.baseline.push_back({std::move(measure), v, spread});
    return *this;
  }
  Comparison& tolerance(std::string measure, double effect) {
    Tolerance t;
    t.measure = std::move(measure);
    t.effect = effect;
    input_.tolerances.push_back(t);
    return *this;
  }
  Comparison& limit(std::string measure, double minimum, double maximum,
                    std::string source = "invented limit") {
    input_.limits.push_back({std::move(measure), minimum, maximum, std::move(source)});
    return *this;
  }
  ComparisonInput& input() { return input_; }

  ScenarioResult judge() const {
    ScenarioResult result;
    compare(input_, result);
    return result;
  }
  MeasureResult judge(std::string_view measure) const {
    return judge().measures[static_cast<size_t>(*measure::find_measure(measure))];
  }

 private:
  ComparisonInput input_;
};

// Stopping distance of 40 m in the baseline and 0.5 m allowed: numbers that are exact in binary.
inline Comparison stop(double value) {
  return Comparison()
      .value("stopping_distance", measured(value))
      .baseline("stopping_distance", 40)
      .tolerance("stopping_distance", 0.5);
}

}  // namespace brakeward::verdict
