#include "measure/repeatability.h"

#include <algorithm>
#include <cmath>

namespace brakeward::measure {
namespace {

using State = MeasureValue::State;

constexpr std::string_view kNotAsked = "the scenario asks for no such replays";

// Values of one kind in one respect; nothing where a replay lacks it.
std::optional<std::vector<double>> column(const std::vector<Outcome>& outcomes, const auto& of) {
  std::vector<double> out;
  for (const Outcome& o : outcomes) {
    const std::optional<double> value = of(o);
    if (!value) return std::nullopt;
    out.push_back(*value);
  }
  return out;
}

std::optional<double> distance(const Outcome& o) {
  return o.distance_m;
}
std::optional<double> delay(const Outcome& o) {
  return o.delay_ms;
}
std::optional<double> deceleration(const Outcome& o) {
  return o.deceleration_mps2;
}

double range(std::span<const double> values) {
  const auto [least, greatest] = std::minmax_element(values.begin(), values.end());
  return *greatest - *least;
}

// Position of the greatest value, or of the least.
size_t extreme(const std::vector<double>& values, bool greatest) {
  const auto at = greatest ? std::max_element(values.begin(), values.end())
                           : std::min_element(values.begin(), values.end());
  return static_cast<size_t>(at - values.begin());
}

class Maker {
 public:
  // The three respects under one kind's names; `reduce` makes a number of the values, `greatest_counts` says
  // which replay is named, if any is.
  void add(const std::vector<Outcome>& outcomes, std::string_view distance_name, std::string_view delay_name,
           std::string_view deceleration_name, const auto& reduce, bool named) {
    add_one(outcomes, distance_name, distance, reduce, named, true);
    add_one(outcomes, delay_name, delay, reduce, named, true);
    add_one(outcomes, deceleration_name, deceleration, reduce, named, false);
  }

  void add_one(const std::vector<Outcome>& outcomes, std::string_view name, const auto& of,
               const auto& reduce, bool named, bool greatest_counts) {
    RepeatabilityMeasure m{name, {State::kNotApplicable, 0, kNotAsked}};
    if (!outcomes.empty()) {
      const auto values = column(outcomes, of);
      m.value.reason = "one of the replays lacks it";
      if (values) {
        m.value = {State::kMeasured, reduce(*values), {}};
        if (named) m.shown_in = extreme(*values, greatest_counts);
      }
    }
    out.push_back(std::move(m));
  }

  std::vector<RepeatabilityMeasure> out;
};

}  // namespace

double standard_deviation(std::span<const double> values) {
  if (values.size() < 2) return 0;
  const double count = static_cast<double>(values.size());
  double sum = 0, square = 0;
  for (const double v : values) sum += v;
  const double mean = sum / count;
  for (const double v : values) square += (v - mean) * (v - mean);
  return std::sqrt(square / (count - 1));
}

Outcome outcome_of(const Folds<double>& folds, const std::vector<MeasureValue>& values,
                   const MeasureContext& context) {
  const auto value_of = [&](std::string_view name) -> std::optional<double> {
    const MeasureValue& v = values[static_cast<size_t>(find_measure(name).value_or(0))];
    return v.state == State::kMeasured ? std::optional<double>(v.value) : std::nullopt;
  };
  return {folds.last_distance, value_of("delay_90_percent"),
          value_of(context.ends_standing ? "mean_fully_developed_deceleration" : "peak_deceleration")};
}

std::vector<RepeatabilityMeasure> repeatability_measures(const Outcomes& outcomes) {
  const auto spread = [](const std::vector<double>& v) { return standard_deviation(v); };
  const auto span = [](const std::vector<double>& v) { return range(v); };
  const auto greatest = [](const std::vector<double>& v) { return v[extreme(v, true)]; };
  const auto least = [](const std::vector<double>& v) { return v[extreme(v, false)]; };
  Maker make;
  make.add(outcomes.repeats, "repeat_distance_spread", "repeat_delay_spread", "repeat_deceleration_spread",
           spread, false);
  make.add(outcomes.steps, "step_distance_range", "step_delay_range", "step_deceleration_range", span, true);
  make.add(outcomes.corners, "corner_distance_range", "corner_delay_range", "corner_deceleration_range", span,
           true);
  make.add_one(outcomes.corners, "corner_distance", distance, greatest, true, true);
  make.add_one(outcomes.corners, "corner_deceleration", deceleration, least, true, false);
  make.add(outcomes.mirrored, "mirrored_distance_difference", "mirrored_delay_difference",
           "mirrored_deceleration_difference", span, false);
  return std::move(make.out);
}

}  // namespace brakeward::measure
