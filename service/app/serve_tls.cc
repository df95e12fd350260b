#include "app/serve_tls.h"

#include <openssl/err.h>
#include <openssl/pem.h>
#include <openssl/x509.h>

#include <memory>

#include "rpc/pem.h"

namespace brakeward::app {
namespace {

using Bio = std::unique_ptr<BIO, decltype(&BIO_free)>;
using Certificate = std::unique_ptr<X509, decltype(&X509_free)>;
using Key = std::unique_ptr<EVP_PKEY, decltype(&EVP_PKEY_free)>;

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
  const auto pem = rpc::read_pem(file);
  if (pem.ok() && first_certificate(*pem) != nullptr) return *pem;
  faults.add({document, 0, 0, address,
              pem.ok() ? file.string() + ": holds no certificate in PEM form"
                       : std::string(pem.status().message())});
  return std::nullopt;
}

std::optional<std::string> read_private_key(const std::filesystem::path& file,
                                            const std::optional<std::string>& certificate,
                                            const std::string& document, const std::string& address,
                                            document::Faults& faults) {
  const auto fault = [&](const std::string& text) {
    faults.add({document, 0, 0, address, text});
    return std::nullopt;
  };
  const auto pem = rpc::read_pem(file);
  if (!pem.ok()) return fault(std::string(pem.status().message()));
  const Key key = private_key(*pem);
  if (key == nullptr)
    return fault(file.string() + ": holds no private key in PEM form that can be read without a pass phrase");
  const bool fits =
      !certificate || X509_check_private_key(first_certificate(*certificate).get(), key.get()) == 1;
  ERR_clear_error();
  if (!fits)
    return fault(file.string() + ": is not the key of the certificate; give the pair that was made together");
  return *pem;
}

}  // namespace brakeward::app
