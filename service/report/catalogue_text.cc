#include "report/catalogue_text.h"

#include "measure/catalogue.h"
#include "report/text.h"

namespace brakeward::report {
namespace {

constexpr size_t kWidth = 104;

const char* word(measure::ChainPoint p) {
  switch (p) {
    case measure::ChainPoint::kRequest:
      return "at the request";
    case measure::ChainPoint::kPressure:
      return "at the pressure";
    case measure::ChainPoint::kVehicle:
      return "at the vehicle";
  }
  return "";
}

}  // namespace

std::string render_catalogue() {
  std::string out;
  for (const measure::MeasureInfo& m : measure::catalogue()) {
    out += std::string(m.name) + " [" + std::string(m.unit) + "], " + std::string(measure::words(m.worse)) +
           ", read " + word(m.point) + "\n";
    for (const std::string& line : wrap(m.definition, kWidth)) out += "    " + line + "\n";
    out += "    Source: " + std::string(m.source) + "\n";
  }
  return out;
}

}  // namespace brakeward::report
