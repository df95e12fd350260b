#include "app/serve_tls.h"

#include <openssl/err.h>
#include <openssl/pem.h>
#include <openssl/x509.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

namespace brakeward::app {
namespace {

constexpr size_t kLargestPem = size_t{1} << 20;

using Bio = std::unique_ptr<BIO, decltype(&BIO_free)>;
using Certificate = std::unique_ptr<X509, decltype(&X509_free)>;
using Key = std::unique_ptr<EVP_PKEY, decltype(&EVP_PKEY_free)>;

// Why the file cannot be read; empty when `out` holds it.
std::string read(const std::filesystem::path& file, std::string& out) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(file, error)) return "there is no such file; check the path";
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> in(std::fopen(file.c_str(), "rb"), &std::fclose);
  if (in == nullptr)
    return std::string("cannot be read: ") + std::strerror(errno) + "; check its permissions";
  out.resize(kLargestPem + 1);
  out.resize(std::fread(out.data(), 1, out.size(), in.get()));
  if (std::ferror(in.get()) != 0) return "cannot be read; check the file system";
  if (out.size() > kLargestPem) return "is larger than 1 MiB; is this the right file?";
  return "";
}

Certificate first_certificate(const std::string& pem) {
  const Bio bio(BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())), &BIO_free);
  Certificate out(PEM_read_bio_X509(bio.get(), nullptr, nullptr, nullptr), &X509_free);
  ERR_clear_error();
  return out;
}

// Nobody is asked for a pass phrase.
int no_pass_phrase(char*, int, int, void*) {
  return 0;
}

Key private_key(const std::string& pem) {
  const Bio bio(BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())), &BIO_free);
  Key out(PEM_read_bio_PrivateKey(bio.get(), nullptr, &no_pass_phrase, nullptr), &EVP_PKEY_free);
  ERR_clear_error();
  return out;
}

}  // namespace

std::optional<std::string> read_certificates(const std::filesystem::path& file, const std::string& document,
                                             const std::string& address, document::Faults& faults) {
  std::string pem;
  std::string fault = read(file, pem);
  if (fault.empty() && first_certificate(pem) == nullptr) fault = "holds no certificate in PEM form";
  if (fault.empty()) return pem;
  faults.add({document, 0, 0, address, file.string() + ": " + fault});
  return std::nullopt;
}

std::optional<std::string> read_private_key(const std::filesystem::path& file,
                                            const std::optional<std::string>& certificate,
                                            const std::string& document, const std::string& address,
                                            document::Faults& faults) {
  std::string pem;
  std::string fault = read(file, pem);
  if (fault.empty()) {
    const Key key = private_key(pem);
    if (key == nullptr) {
      fault = "holds no private key in PEM form that can be read without a pass phrase";
    } else if (certificate && X509_check_private_key(first_certificate(*certificate).get(), key.get()) != 1) {
      fault = "is not the key of the certificate; give the pair that was made together";
    }
    ERR_clear_error();
  }
  if (fault.empty()) return pem;
  faults.add({document, 0, 0, address, file.string() + ": " + fault});
  return std::nullopt;
}

}  // namespace brakeward::app
