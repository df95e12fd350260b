#include "document/fault.h"

#include <algorithm>
#include <tuple>

#include "absl/strings/str_cat.h"

namespace brakeward::document {

std::string render(const Fault& fault) {
  std::string out;
  if (!fault.file.empty())
    out = fault.line > 0 ? absl::StrCat(fault.file, ":", fault.line, ": ") : fault.file + ": ";
  if (fault.file.empty() && fault.line > 0) out = absl::StrCat("line ", fault.line, ": ");
  if (!fault.address.empty()) absl::StrAppend(&out, fault.address, ": ");
  return out + fault.text;
}

void Faults::append(const Faults& other) {
  list.insert(list.end(), other.list.begin(), other.list.end());
}

void Faults::sort() {
  std::stable_sort(list.begin(), list.end(), [](const Fault& a, const Fault& b) {
    return std::tie(a.file, a.line, a.column) < std::tie(b.file, b.line, b.column);
  });
}

std::string Faults::render() const {
  std::string out;
  for (const Fault& fault : list) absl::StrAppend(&out, document::render(fault), "\n");
  return out;
}

absl::Status Faults::status() const {
  if (empty()) return absl::OkStatus();
  std::string text = render();
  text.pop_back();
  return absl::InvalidArgumentError(text);
}

}  // namespace brakeward::document
