// Certificates from files.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "document/fault.h"

namespace brakeward::app {

// Content of a PEM file that holds at least one certificate; nothing, and a fault at `address` of `document`,
// when it cannot be read or holds none.
std::optional<std::string> read_certificates(const std::filesystem::path& file, const std::string& document,
                                             const std::string& address, document::Faults& faults);

// Content of a PEM file with a private key without a pass phrase. When `certificate` is given, the key must
// be that of its first certificate.
std::optional<std::string> read_private_key(const std::filesystem::path& file,
                                            const std::optional<std::string>& certificate,
                                            const std::string& document, const std::string& address,
                                            document::Faults& faults);

}  // namespace brakeward::app
