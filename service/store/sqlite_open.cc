#include "store/sqlite_open.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>
#include <thread>

#include "store/concat.h"
#include "store/sqlite_error.h"
#include "store/sqlite_schema.h"

namespace brakeward::store {
namespace {

namespace fs = std::filesystem;

struct Place {
  std::string file;  // absolute, so that no name means something of its own to SQLite
  std::string folder;
  bool there = false;
};

absl::Status forbidden(const std::string& path, std::string_view what) {
  return absl::PermissionDeniedError(concat(path, ": ", what, " (", std::strerror(errno),
                                            "); give this user permission, or name another file"));
}

absl::Status no_database(const std::string& file) {
  return absl::FailedPreconditionError(concat(
      file,
      ": is no SQLite file, so no store, or its first bytes are damaged; name another file or restore it "
      "from a backup"));
}

absl::Status not_there(const Place& place, Access access) {
  if (access == Access::kReadOnly) {
    return absl::NotFoundError(
        concat(place.file, ": there is no such file; name a store that a service has made"));
  }
  struct stat found;
  if (::stat(place.folder.c_str(), &found) != 0 || !S_ISDIR(found.st_mode)) {
    return absl::NotFoundError(concat(place.file, ": there is no folder ", place.folder, "; make it first"));
  }
  if (::faccessat(AT_FDCWD, place.folder.c_str(), W_OK | X_OK, AT_EACCESS) != 0) {
    return forbidden(place.file, concat("nothing may be made in the folder ", place.folder));
  }
  return absl::OkStatus();
}

absl::Status there(const Place& place, Access access, const struct stat& found) {
  if (!S_ISREG(found.st_mode)) {
    return absl::FailedPreconditionError(concat(
        place.file, ": is ", S_ISDIR(found.st_mode) ? "a folder" : "no ordinary file", "; name a file"));
  }
  // SQLite takes a file of one byte for an empty one.
  if (found.st_size == 1) return no_database(place.file);
  const bool write = access == Access::kReadWrite;
  if (::faccessat(AT_FDCWD, place.file.c_str(), write ? R_OK | W_OK : R_OK, AT_EACCESS) != 0) {
    return forbidden(place.file, write ? "may not be read and written" : "may not be read");
  }
  // The companions -wal and -shm are made beside the file.
  if (write && ::faccessat(AT_FDCWD, place.folder.c_str(), W_OK | X_OK, AT_EACCESS) != 0) {
    return forbidden(place.file, concat("nothing may be made in its folder ", place.folder));
  }
  return absl::OkStatus();
}

// The place as far as it can be told without opening the file: closing a file that SQLite has open elsewhere
// in this process would drop its locks.
absl::StatusOr<Place> look_at(const fs::path& path, Access access) {
  if (path.empty()) return absl::InvalidArgumentError("the path of the store is empty; name a file");
  std::error_code error;
  fs::path absolute = fs::absolute(path, error);
  if (const fs::path resolved = fs::weakly_canonical(absolute, error); !error) absolute = resolved;
  Place place{absolute.string(), absolute.parent_path().string()};
  struct stat found;
  place.there = ::stat(place.file.c_str(), &found) == 0;
  if (!place.there && errno != ENOENT && errno != ENOTDIR)
    return forbidden(place.file, "cannot be looked up");
  absl::Status status = place.there ? there(place, access, found) : not_there(place, access);
  if (!status.ok()) return status;
  return place;
}

// SQLite makes a new file's entry in its folder last when it makes the companions; this does not rely on it.
absl::Status flush_folder(const Place& place) {
  const int folder = ::open(place.folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  const bool flushed = folder >= 0 && (::fsync(folder) == 0 || errno == EINVAL);
  const int error = errno;
  if (folder >= 0) ::close(folder);
  if (flushed) return absl::OkStatus();
  return absl::InternalError(concat(place.file, ": its folder ", place.folder,
                                    " cannot be brought to the disk (", std::strerror(error),
                                    "); check the disk"));
}

// The switch to WAL wants the file to itself and may be refused at once rather than after the wait, when
// several processes open a new file together.
absl::Status use_wal(Connection& connection, std::chrono::milliseconds lock_wait) {
  constexpr std::string_view kDoing = "cannot be put into WAL mode";
  const auto deadline = std::chrono::steady_clock::now() + lock_wait;
  absl::StatusOr<std::string> mode = connection.ask("PRAGMA journal_mode = WAL", kDoing);
  while (absl::IsUnavailable(mode.status()) && std::chrono::steady_clock::now() < deadline) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
    mode = connection.ask("PRAGMA journal_mode = WAL", kDoing);
  }
  if (!mode.ok()) return mode.status();
  if (*mode == "wal") return absl::OkStatus();
  return absl::FailedPreconditionError(
      concat(connection.file(), ": ", kDoing, "; keep it on a local disk, not on a network share"));
}

absl::Status set_up(Connection& connection) {
  sqlite3_db_config(connection.db(), SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  sqlite3_db_config(connection.db(), SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  return connection.run("PRAGMA synchronous = FULL; PRAGMA foreign_keys = OFF; PRAGMA cell_size_check = ON",
                        "cannot be set up");
}

// Closing the last connection moves the WAL into the main file, which is not ours to do to the file of
// another program.
void checkpoint_on_close(Connection& connection, bool wanted) {
  sqlite3_db_config(connection.db(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, wanted ? 0 : 1, nullptr);
}

// The first looks into a file fail for reasons that SQLite tells no better than for a store gone bad later.
absl::Status explain(Connection& connection, Access access, const absl::Status& status) {
  const int result = sqlite3_errcode(connection.db()) & 0xff;
  if (!status.ok() && result == SQLITE_NOTADB) return no_database(connection.file());
  if (!status.ok() && access == Access::kReadOnly &&
      (result == SQLITE_CANTOPEN || result == SQLITE_READONLY)) {
    return absl::FailedPreconditionError(concat(
        connection.file(),
        ": reading it needs its companions -wal and -shm, which this user may neither read nor make in the "
        "folder; copy it into a folder of your own, or ask for permission"));
  }
  return status;
}

}  // namespace

absl::StatusOr<std::unique_ptr<Connection>> open_connection(const fs::path& path, Access access,
                                                            std::chrono::milliseconds lock_wait) {
  const absl::StatusOr<Place> place = look_at(path, access);
  if (!place.ok()) return place.status();
  const bool write = access == Access::kReadWrite;
  const int flags = write ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE : SQLITE_OPEN_READONLY;
  absl::StatusOr<std::unique_ptr<Connection>> opened = Connection::open(place->file, flags, lock_wait);
  if (!opened.ok()) return opened.status();
  Connection& connection = **opened;
  checkpoint_on_close(connection, false);
  if (absl::Status done = set_up(connection); !done.ok()) return explain(connection, access, done);
  const absl::StatusOr<Kind> kind = identify(connection);
  if (!kind.ok()) return explain(connection, access, kind.status());
  if (*kind == Kind::kEmpty && !write) {
    return absl::FailedPreconditionError(
        concat(place->file, ": nothing has been stored in it yet; open it for writing once"));
  }
  if (*kind == Kind::kEmpty) {
    if (absl::Status done = create_schema(connection); !done.ok()) return done;
  }
  if (write) {
    if (absl::Status done = use_wal(connection, lock_wait); !done.ok()) return done;
    if (absl::Status done = flush_folder(*place); !done.ok()) return done;
  }
  if (absl::Status done = verify_schema(connection); !done.ok()) return done;
  checkpoint_on_close(connection, write);
  return opened;
}

}  // namespace brakeward::store
