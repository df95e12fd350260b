#include "report/changes.h"

#include <algorithm>

#include "document/text.h"
#include "report/markdown_text.h"
#include "report/table.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using verdict::CalibrationChange;

constexpr size_t kMostAddressBytes = 300;
constexpr size_t kMostValueBytes = 200;

}  // namespace

std::string render_changes(const std::vector<CalibrationChange>& changes) {
  if (changes.empty()) return "";
  Table table({{}, {}, {}});
  table.add({"address", "before", "after"});
  for (const CalibrationChange& c : changes) {
    table.add({document::clean(c.address), document::clean(c.before), document::clean(c.after)});
  }
  return table.text();
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
