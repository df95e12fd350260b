#include "rpc/pem.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

namespace brakeward::rpc {

absl::StatusOr<std::string> read_pem(const std::filesystem::path& file) {
  constexpr size_t kLargest = size_t{1} << 20;
  const auto wrong = [&](const std::string& why) {
    return absl::InvalidArgumentError(file.string() + ": " + why);
  };
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> in(std::fopen(file.c_str(), "rb"), &std::fclose);
  if (!in && errno == ENOENT) return wrong("there is no such file; check the path");
  if (!in) return wrong(std::string("cannot be read: ") + std::strerror(errno) + "; check its permissions");
  std::string text(kLargest + 1, '\0');
  text.resize(std::fread(text.data(), 1, text.size(), in.get()));
  if (std::ferror(in.get()) != 0)
    return wrong(std::string("cannot be read: ") + std::strerror(errno) + "; check the path");
  if (text.size() > kLargest) return wrong("is larger than 1 MiB; is this the right file?");
  return text;
}

}  // namespace brakeward::rpc
