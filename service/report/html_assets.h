// What is embedded when the program is built: the plot library by its lock file, own script and style
// (html/). Internal to the room.
#pragma once

#include <string_view>

namespace brakeward::report {

extern const std::string_view kPlotScript;
extern const std::string_view kPlotStyle;
extern const std::string_view kPlotNotice;    // its licence
extern const std::string_view kSchemeScript;  // light and dark
extern const std::string_view kReportScript;
extern const std::string_view kReportStyle;

}  // namespace brakeward::report
