#include "store/page_token.h"

#include "absl/strings/escaping.h"
#include "store/checksum.h"
#include "store/concat.h"

namespace brakeward::store {
namespace {

constexpr std::size_t kNumber = 8;
constexpr std::size_t kCheck = 8;

std::int64_t number_at(std::string_view bytes, std::size_t at) {
  std::uint64_t value = 0;
  for (std::size_t i = 0; i < kNumber; ++i) {
    value |= static_cast<std::uint64_t>(static_cast<unsigned char>(bytes[at + i])) << (8 * i);
  }
  return static_cast<std::int64_t>(value);
}

std::string check_of(const std::string& scope, Position position) {
  return RowHash().text(scope).number(position.at_ms).number(position.sequence).digest().substr(0, kCheck);
}

}  // namespace

std::string list_scope(std::string_view list, const Query& query) {
  return RowHash().text(list).text(query.library).text(query.event_build).digest();
}

std::string page_token(const std::string& scope, Position after) {
  return absl::WebSafeBase64Escape(
      concat(number_bytes(after.at_ms), number_bytes(after.sequence), check_of(scope, after)));
}

absl::StatusOr<Position> page_start(const std::string& scope, const std::string& token) {
  if (token.empty()) return kStart;
  std::string bytes;
  if (absl::WebSafeBase64Unescape(token, &bytes) && bytes.size() == 2 * kNumber + kCheck) {
    const Position position{number_at(bytes, 0), number_at(bytes, kNumber)};
    if (bytes.substr(2 * kNumber) == check_of(scope, position)) return position;
  }
  return absl::InvalidArgumentError(concat(
      "page_token: '", absl::CHexEscape(token.substr(0, 80)),
      "' was not given by a page of this list; pass the next_page_token of the page before, with the same "
      "library and event build, or none for the first page"));
}

}  // namespace brakeward::store
