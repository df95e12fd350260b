// What every implementation asks of rows and queries, and how it answers for a row that is not there or is
// there already. InvalidArgument tells all faults of a row.
#pragma once

#include <string>

#include "absl/status/status.h"
#include "store/store.h"

namespace brakeward::store {

absl::Status check(const RunRow& run);
absl::Status check(const EventRow& event);
absl::Status check(const BaselineRow& baseline);

// Whether a second row under an id says the same as the first. A baseline kept again later is the same
// baseline.
bool same(const RunRow& a, const RunRow& b);
bool same(const BaselineRow& a, const BaselineRow& b);
// OK when the row kept under the id says the same, else AlreadyExists.
absl::Status kept_already(const RunRow& kept, const RunRow& put);
absl::Status kept_already(const BaselineRow& kept, const BaselineRow& put);

absl::Status no_run(const std::string& run_id);
absl::Status no_baseline(const std::string& sha256);
absl::Status no_build(const std::string& library);

absl::Status check_page_size(int page_size);
absl::Status check_limit(int limit);

}  // namespace brakeward::store
