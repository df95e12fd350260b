#include "report/changes.h"

#include <algorithm>
#include <array>

#include "document/text.h"
#include "report/markdown_text.h"
#include "report/text.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::CalibrationChange;

constexpr size_t kWidestCell = 64;
constexpr size_t kMostAddressBytes = 300;
constexpr size_t kMostValueBytes = 200;

}  // namespace

std::string render_changes(const std::vector<CalibrationChange>& changes) {
  if (changes.empty()) return "";
  std::vector<std::array<std::string, 3>> rows = {{"address", "before", "after"}};
  for (const CalibrationChange& c : changes) {
    rows.push_back({document::clean(c.address), document::clean(c.before), document::clean(c.after)});
  }
  std::array<size_t, 2> widths = {};
  for (const auto& row : rows) {
    for (size_t i = 0; i < widths.size(); ++i) {
      if (width_of(row[i]) <= kWidestCell) widths[i] = std::max(widths[i], width_of(row[i]));
    }
  }
  std::string text;
  for (const auto& row : rows) {
    for (size_t i = 0; i < widths.size(); ++i) {
      const size_t width = width_of(row[i]);
      verdict::append(text, row[i], std::string(widths[i] - std::min(widths[i], width) + 2, ' '));
    }
    verdict::append(text, row[2], "\n");
  }
  return text;
}

std::string render_changes_markdown(const std::vector<CalibrationChange>& changes, size_t most_rows) {
  if (changes.empty()) return "";
  std::string text = "| address | before | after |\n| --- | ---: | ---: |\n";
  const size_t shown = std::min(changes.size(), most_rows);
  for (size_t i = 0; i < shown; ++i) {
    const CalibrationChange& c = changes[i];
    verdict::append(text, "| ", markdown(c.address, kMostAddressBytes), " | ",
                    markdown(c.before, kMostValueBytes), " | ", markdown(c.after, kMostValueBytes), " |\n");
  }
  if (shown < changes.size()) {
    const size_t more = changes.size() - shown;
    verdict::append(text, "\nand ", more, " more ", more == 1 ? "value" : "values", ".\n");
  }
  return text;
}

}  // namespace brakeward::report
