// A catalogue of five measures in place of the real one, one of each kind the verdict tells apart, so that a
// new measure or another number of decimals does not move these tests. The linker takes it before the
// library's.
#include <array>

#include "measure/catalogue.h"

namespace brakeward::measure {
namespace {

constexpr std::array<MeasureInfo, 5> kCatalogue = {{
    {"stopping_distance", "m", Worse::kHigher, ChainPoint::kVehicle, "For tests.", "invented", 2},
    {"peak_deceleration", "m/s^2", Worse::kLower, ChainPoint::kVehicle, "For tests.", "invented", 2},
    {"pressure_onset", "ms", Worse::kHigher, ChainPoint::kPressure, "For tests.", "invented", 0},
    {"front_share", "%", Worse::kEither, ChainPoint::kPressure, "For tests.", "invented", 1},
    {"adhesion_use", "1", Worse::kLower, ChainPoint::kVehicle, "For tests.", "invented", 3},
}};

}  // namespace

std::span<const MeasureInfo> catalogue() {
  return kCatalogue;
}

std::optional<int> find_measure(std::string_view name) {
  for (size_t i = 0; i < kCatalogue.size(); ++i) {
    if (kCatalogue[i].name == name) return static_cast<int>(i);
  }
  return std::nullopt;
}

}  // namespace brakeward::measure
