#include "document/sha256.h"

#include <openssl/evp.h>

#include <cstdio>
#include <cstdlib>

#include "absl/strings/escaping.h"

namespace brakeward::document {

namespace {

// A library without SHA-256 or without memory leaves nothing sensible to return.
void require(bool holds) {
  if (holds) return;
  std::fputs("document/sha256: the cryptographic library refused SHA-256\n", stderr);
  std::abort();
}

}  // namespace

struct Sha256::Context {
  Context() : digest(EVP_MD_CTX_new()) { start(); }
  ~Context() { EVP_MD_CTX_free(digest); }
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;
  void start() { require(digest != nullptr && EVP_DigestInit_ex(digest, EVP_sha256(), nullptr) == 1); }

  EVP_MD_CTX* digest;
};

Sha256::Sha256() : context_(std::make_unique<Context>()) {}
Sha256::~Sha256() = default;
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;

void Sha256::update(std::string_view bytes) {
  require(EVP_DigestUpdate(context_->digest, bytes.data(), bytes.size()) == 1);
}

std::string Sha256::hex() {
  unsigned char bytes[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  require(EVP_DigestFinal_ex(context_->digest, bytes, &size) == 1);
  context_->start();
  return absl::BytesToHexString(absl::string_view(reinterpret_cast<const char*>(bytes), size));
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 hash;
  hash.update(bytes);
  return hash.hex();
}

}  // namespace brakeward::document
