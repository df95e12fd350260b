#include <cerrno>
#include <cstdio>
#include <memory>
#include <system_error>

#include "absl/status/status.h"
#include "recording/recording.h"
#include "recording/text.h"

namespace brakeward::recording {
namespace {

namespace fs = std::filesystem;

absl::Status check_file(const fs::path& file) {
  std::error_code error;
  const fs::file_status status = fs::status(file, error);
  if (status.type() == fs::file_type::not_found) {
    return absl::NotFoundError(joined(file.string(), ": there is no such file"));
  }
  if (status.type() == fs::file_type::none) {
    return absl::InvalidArgumentError(joined(file.string(), ": cannot be opened: ", error.message()));
  }
  if (status.type() == fs::file_type::directory) {
    return absl::InvalidArgumentError(joined(file.string(), ": is a folder, not a CSV file"));
  }
  if (status.type() != fs::file_type::regular) {
    return absl::InvalidArgumentError(joined(file.string(), ": is not a regular file"));
  }
  const uintmax_t size = fs::file_size(file, error);
  if (!error && size > kLargestFileBytes) {
    return absl::InvalidArgumentError(joined(file.string(), ": holds ", size, " bytes, more than ",
                                             kLargestFileBytes, " (1 GiB): cut it into shorter logs"));
  }
  return absl::OkStatus();
}

absl::StatusOr<std::string> read_text(const fs::path& file) {
  const auto failed = [&](int cause) {
    const std::string why = std::generic_category().message(cause);
    return absl::InvalidArgumentError(joined(file.string(), ": cannot be read: ", why));
  };
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> stream(std::fopen(file.c_str(), "rb"), std::fclose);
  if (stream == nullptr) return failed(errno);
  std::error_code error;
  const uintmax_t size = fs::file_size(file, error);
  std::string text(error ? 0 : static_cast<size_t>(size), '\0');
  text.resize(std::fread(text.data(), 1, text.size(), stream.get()));
  if (std::ferror(stream.get()) != 0) return failed(errno);
  return text;
}

}  // namespace

absl::StatusOr<Log> read_csv(const std::filesystem::path& file, const ChannelMap& map) {
  if (absl::Status sound = check_file(file); !sound.ok()) return sound;
  const absl::StatusOr<std::string> text = read_text(file);
  if (!text.ok()) return text.status();
  return parse_csv(*text, file.string(), map);
}

}  // namespace brakeward::recording
