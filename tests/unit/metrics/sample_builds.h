// Runs of event builds made by hand. Cars, builds and numbers are invented.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "verdict/run.h"

namespace brakeward::metrics {

// A passed measure with a baseline; tolerance used is what `verdict` would have said of a measure that is
// worse when higher.
verdict::MeasureResult measured(std::string_view measure, double value, double baseline, double allowed);

// A run of the build with these scenarios; verdict pass, vehicle "f00d", numerics version 3.
verdict::Run event_build(std::string_view library, std::string_view build,
                         std::vector<verdict::ScenarioResult> scenarios);

verdict::ScenarioResult scenario(std::string_view name, std::vector<verdict::MeasureResult> measures);

// A build with that many scenarios, each with so many measures of the catalogue.
inline constexpr size_t kFullMeasures = 27;
verdict::Run full_build(std::string_view library, std::string_view build, int scenarios);

// The build of the golden page: one measure of each unit that a stop has. `worse` is added to the values.
verdict::Run golden_build(std::string_view build, double worse);

// Lines of the page that are no comments: its series.
std::vector<std::string> series_of_page(const std::string& page);

// Value of the series, written as on the page; "absent" when it is not there.
std::string value_on(const std::string& page, const std::string& series);

}  // namespace brakeward::metrics
