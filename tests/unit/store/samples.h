// Made-up rows, temporary folders and matchers for the tests of the store.
#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "store/store.h"
#include "temporary_folder.h"

namespace brakeward::store {

// All rows but the body follow from the number.
RunRow sample_run(int number, const std::string& library = "sorrel", const std::string& event_build = "");
BaselineRow sample_baseline(int number, const std::string& library = "sorrel");
EventRow sample_event(int number);

// Bytes of all values that follow from the seed.
std::string sample_bytes(std::uint64_t seed, std::size_t size);

// Every column, for comparing; lists leave out the body.
std::string text_of(const RunRow& row);
std::string text_of(const BaselineRow& row);

using tests::TemporaryFolder;

// Opens for writing and expects that to go well; null otherwise.
std::unique_ptr<Store> open_or_fail(const std::filesystem::path& file, Access access = Access::kReadWrite);

// Runs SQL on the file with the database library itself, past the store.
void edit(const std::filesystem::path& file, const std::string& sql);
std::string look_up(const std::filesystem::path& file, const std::string& sql);

// The ids of all pages of a list, in order.
std::vector<std::string> all_ids(Store& store, Query query);

inline const absl::Status& status_of(const absl::Status& status) {
  return status;
}
template <class T>
const absl::Status& status_of(const absl::StatusOr<T>& answer) {
  return answer.status();
}

MATCHER_P2(Fails, code, part, "") {
  const absl::Status& status = status_of(arg);
  *result_listener << status.ToString();
  return status.code() == code && std::string(status.message()).find(part) != std::string::npos;
}

MATCHER(Succeeds, "") {
  *result_listener << status_of(arg).ToString();
  return status_of(arg).ok();
}

}  // namespace brakeward::store
