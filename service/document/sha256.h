// SHA-256 (FIPS 180-4) of plain bytes, by OpenSSL. Sees no protobuf.
#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace brakeward::document {

// A hash that is fed piece by piece. One object per thread; not copyable.
class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;

  void update(std::string_view bytes);
  // 64 lower-case hexadecimal digits over all bytes so far; starts afresh afterwards.
  std::string hex();

 private:
  struct Context;
  std::unique_ptr<Context> context_;
};

// 64 lower-case hexadecimal digits.
std::string sha256_hex(std::string_view bytes);

}  // namespace brakeward::document
