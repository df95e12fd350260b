// The one list of measures: what can be read off a replay, in which unit, and which way is worse.
// JSON, reports, tolerances and `brakeward describe measures` all read it.
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace brakeward::measure {

// Which change of a measure counts against a candidate.
enum class Worse { kHigher, kLower, kEither };

// The point of the chain a measure is read at. A replay that enters below it cannot show it.
enum class ChainPoint { kRequest, kPressure, kVehicle };

// "higher is worse".
constexpr std::string_view words(Worse worse) {
  switch (worse) {
    case Worse::kHigher:
      return "higher is worse";
    case Worse::kLower:
      return "lower is worse";
    case Worse::kEither:
      return "either way counts";
  }
  return "";
}

struct MeasureInfo {
  std::string_view name;        // for example "stopping_distance"
  std::string_view unit;        // trade unit as printed: m, m/s^2, ms, %, bar, degC
  Worse worse;                  //
  ChainPoint point;             //
  std::string_view definition;  // one sentence
  std::string_view source;      // document and section, or "common practice, no source"
  int decimals;                 // digits after the point a reader wants
};

// All measures in catalogue order, which is also the order of every output.
std::span<const MeasureInfo> catalogue();

// Position in catalogue(), or nothing for an unknown name.
std::optional<int> find_measure(std::string_view name);

// What one replay says about one measure.
struct MeasureValue {
  enum class State {
    kMeasured,      // value holds the number
    kNeverReached,  // the event the measure times never came
    kNotApplicable  // the replay does not show it; reason says why
  };
  State state = State::kNotApplicable;
  double value = 0;
  std::string_view reason;  // static text
};

}  // namespace brakeward::measure
