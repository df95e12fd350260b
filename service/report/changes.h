// The values in which two documents differ, as a table.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "verdict/run.h"

namespace brakeward::report {

// Address, before and after in aligned columns under their titles, one line a change; a very long address or
// value pushes its own line aside only. Empty for no changes. Control characters are replaced.
std::string render_changes(const std::vector<verdict::CalibrationChange>& changes);

// The same as a Markdown table; after `most_rows` rows a sentence says how many more there are. Text is
// escaped.
std::string render_changes_markdown(const std::vector<verdict::CalibrationChange>& changes, size_t most_rows);

}  // namespace brakeward::report
