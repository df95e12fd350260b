#include "store/checksum.h"

#include <openssl/evp.h>

#include <cstdio>
#include <cstdlib>

namespace brakeward::store {
namespace {

// A library without SHA-256 or without memory leaves nothing sensible to return.
void require(bool holds) {
  if (holds) return;
  std::fputs("store/checksum: the cryptographic library refused SHA-256\n", stderr);
  std::abort();
}

}  // namespace

struct RowHash::Context {
  Context() : digest(EVP_MD_CTX_new()) {
    require(digest != nullptr && EVP_DigestInit_ex(digest, EVP_sha256(), nullptr) == 1);
  }
  ~Context() { EVP_MD_CTX_free(digest); }
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;

  void feed(std::string_view bytes) { require(EVP_DigestUpdate(digest, bytes.data(), bytes.size()) == 1); }
  std::string finish() {
    unsigned char bytes[EVP_MAX_MD_SIZE];
    unsigned int size = 0;
    require(EVP_DigestFinal_ex(digest, bytes, &size) == 1);
    return std::string(reinterpret_cast<const char*>(bytes), size);
  }

  EVP_MD_CTX* digest;
};

RowHash::RowHash() : context_(std::make_unique<Context>()) {}
RowHash::~RowHash() = default;

RowHash& RowHash::text(std::string_view bytes) {
  context_->feed(number_bytes(static_cast<std::int64_t>(bytes.size())));
  context_->feed(bytes);
  return *this;
}

RowHash& RowHash::number(std::int64_t value) {
  return text(number_bytes(value));
}

std::string RowHash::digest() {
  return context_->finish();
}

std::string number_bytes(std::int64_t value) {
  std::string bytes;
  for (int shift = 0; shift < 64; shift += 8) {
    bytes.push_back(static_cast<char>((static_cast<std::uint64_t>(value) >> shift) & 0xff));
  }
  return bytes;
}

std::string body_hash(std::string_view body) {
  unsigned char bytes[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  require(EVP_Digest(body.data(), body.size(), bytes, &size, EVP_sha256(), nullptr) == 1);
  return std::string(reinterpret_cast<const char*>(bytes), size);
}

}  // namespace brakeward::store
