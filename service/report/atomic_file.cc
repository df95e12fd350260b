#include "report/atomic_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <climits>
#include <cstdlib>
#include <optional>

#include "verdict/concat.h"

namespace brakeward::report {
namespace {

constexpr int kAttempts = 100;  // names tried, where a broken-off process left some behind

absl::Status failure(std::string_view path, std::string_view what, int error) {
  std::string_view remedy = "check the path and write permission";
  if (error == ENOENT || error == ENOTDIR) remedy = "create the folder first or choose another path";
  if (error == EACCES || error == EPERM || error == EROFS) remedy = "choose a folder you may write to";
  if (error == ENOSPC || error == EDQUOT) remedy = "free space on the disk or choose another one";
  if (error == EISDIR) remedy = "name a file, not a folder";
  return absl::ErrnoToStatus(error, verdict::concat(path, ": ", what, "; ", remedy));
}

// All of it, or errno.
int write_all(int fd, std::string_view content) {
  while (!content.empty()) {
    const ssize_t written = ::write(fd, content.data(), content.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    content.remove_prefix(static_cast<size_t>(written));
  }
  return 0;
}

absl::Status write_directly(const std::string& path, std::string_view content) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (fd < 0) return failure(path, "cannot be opened for writing", errno);
  const int error = write_all(fd, content);
  ::close(fd);
  return error == 0 ? absl::OkStatus() : failure(path, "cannot be written", error);
}

// A new file beside `path`, with the mode a new file gets; the name is left in `temporary`. -1 and errno on
// failure.
int open_temporary(const std::string& path, std::string& temporary) {
  static std::atomic<unsigned> counter = 0;
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    temporary = verdict::concat(path, ".", ::getpid(), ".", counter++, ".part");
    const int fd = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd >= 0 || errno != EEXIST) return fd;
  }
  return -1;
}

// Makes the rename itself last; a file system that cannot do so still has the file.
void flush_folder(const std::string& path) {
  const size_t slash = path.rfind('/');
  const std::string folder = slash == std::string::npos ? "." : path.substr(0, slash + 1);
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;
  ::fsync(fd);
  ::close(fd);
}

absl::Status replace(const std::string& path, std::string_view content, std::optional<mode_t> mode) {
  std::string temporary;
  const int fd = open_temporary(path, temporary);
  if (fd < 0) return failure(path, "cannot be written", errno);
  int error = write_all(fd, content);
  if (error == 0 && mode && ::fchmod(fd, *mode) != 0) error = errno;
  if (error == 0 && ::fsync(fd) != 0) error = errno;
  if (::close(fd) != 0 && error == 0) error = errno;
  if (error == 0 && ::rename(temporary.c_str(), path.c_str()) != 0) error = errno;
  if (error != 0) {
    ::unlink(temporary.c_str());
    return failure(path, "cannot be written", error);
  }
  flush_folder(path);
  return absl::OkStatus();
}

}  // namespace

absl::Status write_file_atomically(const std::string& path, std::string_view content) {
  if (path.empty()) return absl::InvalidArgumentError("the path of the file to write is empty; name a file");
  struct stat there;
  if (::stat(path.c_str(), &there) != 0) {
    if (errno != ENOENT) return failure(path, "cannot be looked up", errno);
    return replace(path, content, std::nullopt);
  }
  if (S_ISDIR(there.st_mode)) return failure(path, "is a folder", EISDIR);
  if (!S_ISREG(there.st_mode)) return write_directly(path, content);
  char resolved[PATH_MAX];
  if (::realpath(path.c_str(), resolved) == nullptr) return failure(path, "cannot be looked up", errno);
  return replace(resolved, content, there.st_mode & 07777);
}

}  // namespace brakeward::report
