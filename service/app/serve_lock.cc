#include "app/serve_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "verdict/concat.h"

namespace brakeward::app {

absl::StatusOr<std::unique_ptr<StoreLock>> StoreLock::take(const std::filesystem::path& store_file) {
  const std::string name = store_file.string() + ".lock";
  const int file = ::open(name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (file < 0)
    return absl::PermissionDeniedError(
        verdict::concat(name, ": cannot be made (", std::strerror(errno),
                        "); give this user permission, or name another store_file"));
  std::unique_ptr<StoreLock> lock(new StoreLock(file));
  if (::flock(file, LOCK_EX | LOCK_NB) == 0) return lock;
  return absl::UnavailableError(verdict::concat(
      store_file.string(),
      ": another service keeps its history in this store_file; stop that one, or name another file"));
}

StoreLock::~StoreLock() {
  ::close(file_);
}

}  // namespace brakeward::app
