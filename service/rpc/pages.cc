#include "rpc/pages.h"

#include <charconv>

#include "document/sha256.h"
#include "rpc/errors.h"

namespace brakeward::rpc {
namespace {

// 16 digits that tie a position to its list, then the position.
constexpr size_t kSealDigits = 16;

std::string seal(const std::string& list, std::string_view position) {
  return document::sha256_hex("page of " + list + "\n" + std::string(position)).substr(0, kSealDigits);
}

}  // namespace

std::string page_token(const std::string& list, std::string_view position) {
  return seal(list, position) + std::string(position);
}

absl::StatusOr<std::string> page_position(const std::string& list, const std::string& told,
                                          const std::string& token) {
  if (token.empty()) return std::string();
  if (token.size() >= kSealDigits) {
    std::string position = token.substr(kSealDigits);
    if (seal(list, position) == token.substr(0, kSealDigits)) return position;
  }
  return bad_page_token(told);
}

absl::StatusOr<size_t> page_begin(const std::string& list, const std::string& told,
                                  const std::string& token) {
  const auto position = page_position(list, told, token);
  if (!position.ok()) return position.status();
  size_t begin = 0;
  std::from_chars(position->data(), position->data() + position->size(), begin);
  return begin;
}

}  // namespace brakeward::rpc
