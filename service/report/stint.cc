#include "report/stint.h"

#include <algorithm>

#include "report/order.h"
#include "verdict/number.h"

namespace brakeward::report {

const char* stint_legend() {
  return "Braked: distance covered while the driver asks for braking. Temperatures are the greatest of the "
         "lap, of "
         "the hotter brake or actuator. To boiling: least that was left to the fluid's boiling point when an "
         "application began.";
}

std::vector<std::vector<std::string>> stint_rows(const verdict::StintResult& stint, size_t most) {
  const size_t laps = stint.laps.size(), shown = std::min(laps, std::max<size_t>(2, most));
  std::vector<std::vector<std::string>> rows;
  for (size_t i = 0; i < shown; ++i) {
    const size_t at = shown < 2 ? i : i * (laps - 1) / (shown - 1);
    const verdict::StintLap& l = stint.laps[at];
    const auto number = [](double x, int decimals) { return verdict::format_number(x, decimals); };
    rows.push_back(
        {std::to_string(l.lap), l.at_pace ? "full" : "slow", number(l.braking_distance_m, 1),
         number(l.front_disc_celsius, 0), number(l.rear_disc_celsius, 0), number(l.fluid_celsius, 0),
         l.boiling_margin_kelvin ? number(*l.boiling_margin_kelvin, 0) : "-", number(l.actuator_celsius, 0)});
  }
  return rows;
}

std::vector<const verdict::ScenarioResult*> stints_of(const verdict::Run& run) {
  std::vector<const verdict::ScenarioResult*> out = ordered_scenarios(run);
  std::erase_if(out, [](const auto* s) { return !s->stint.has_value(); });
  return out;
}

}  // namespace brakeward::report
