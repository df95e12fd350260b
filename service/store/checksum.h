// The checksum of a row: SHA-256 (FIPS 180-4) over its fields, each with its length, so that no two different
// rows feed the same bytes. A number counts as its eight bytes, lowest first.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

namespace brakeward::store {

// Fed field by field. One object per thread.
class RowHash {
 public:
  RowHash();
  ~RowHash();
  RowHash(const RowHash&) = delete;
  RowHash& operator=(const RowHash&) = delete;

  RowHash& text(std::string_view bytes);
  RowHash& number(std::int64_t value);
  // 32 bytes; the object is used up.
  std::string digest();

 private:
  struct Context;
  std::unique_ptr<Context> context_;
};

// The eight bytes of a number, lowest first.
std::string number_bytes(std::int64_t value);

// 32 bytes: SHA-256 of the bytes alone.
std::string body_hash(std::string_view body);

}  // namespace brakeward::store
