#include "store/sqlite_error.h"

#include <cerrno>
#include <cstring>

#include "absl/strings/escaping.h"
#include "store/concat.h"

namespace brakeward::store {
namespace {

bool full(int error) {
  return error == ENOSPC || error == EDQUOT || error == EFBIG;
}
bool forbidden(int error) {
  return error == EACCES || error == EPERM || error == EROFS;
}

constexpr std::string_view kMakeRoom =
    "the disk is full, and nothing was written; free space on it and try again";
constexpr std::string_view kAllow =
    "this user may not do that; give it read and write permission for the file, its "
    "companions -wal and -shm, and the folder";
constexpr std::string_view kRestore = "restore the file from a backup";

// Faults of the system underneath, told apart by its own error number.
absl::Status system_error(std::string_view what, int result, int error, sqlite3* db) {
  if (full(error)) return absl::ResourceExhaustedError(concat(what, ": ", kMakeRoom));
  if (forbidden(error)) return absl::PermissionDeniedError(concat(what, ": ", kAllow));
  if (error == EMFILE || error == ENFILE) {
    return absl::ResourceExhaustedError(
        concat(what, ": too many files are open; raise the limit of open files"));
  }
  const std::string cause = concat(db != nullptr ? sqlite3_errmsg(db) : sqlite3_errstr(result), ", code ",
                                   result, error != 0 ? concat(", ", std::strerror(error)) : "");
  return absl::InternalError(concat(what, ": ", cause, "; check the disk and the system's log"));
}

absl::Status read_only(std::string_view what, int result) {
  if (result == SQLITE_READONLY_DBMOVED) {
    return absl::FailedPreconditionError(
        concat(what, ": the file was moved or deleted while it was open; open it anew"));
  }
  if (result == SQLITE_READONLY_CANTINIT || result == SQLITE_READONLY_RECOVERY ||
      result == SQLITE_READONLY_CANTLOCK) {
    return absl::FailedPreconditionError(concat(
        what, ": its companions -wal and -shm have to be put in order first, which needs write permission; ",
        "open it once for writing, or copy it with them into a folder of your own"));
  }
  return absl::PermissionDeniedError(concat(what, ": ", kAllow));
}

}  // namespace

absl::Status sqlite_error(const std::string& file, sqlite3* db, int result, std::string_view doing) {
  const int error = errno;
  const std::string what = concat(file, ": ", doing);
  switch (result & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return absl::UnavailableError(
          concat(what, ": another program has it locked; try again, or end the program that holds it"));
    case SQLITE_FULL:
      return absl::ResourceExhaustedError(concat(what, ": ", kMakeRoom));
    case SQLITE_NOMEM:
      return absl::ResourceExhaustedError(concat(what, ": memory is exhausted; give the program more"));
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return absl::DataLossError(concat(what, ": the file is damaged (",
                                        db != nullptr ? sqlite3_errmsg(db) : sqlite3_errstr(result), "); ",
                                        kRestore));
    case SQLITE_READONLY:
      return read_only(what, result);
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return absl::PermissionDeniedError(concat(what, ": ", kAllow));
    case SQLITE_TOOBIG:
      return absl::InvalidArgumentError(concat(what, ": it is too large; keep less in one row"));
    case SQLITE_IOERR:
      if (result == SQLITE_IOERR_SHORT_READ || result == SQLITE_IOERR_DATA ||
          result == SQLITE_IOERR_CORRUPTFS) {
        return damaged_file(file, doing);
      }
      return system_error(what, result, error, db);
    default:
      return system_error(what, result, (result & 0xff) == SQLITE_CANTOPEN ? error : 0, db);
  }
}

absl::Status damaged_row(const std::string& file, std::string_view table, std::int64_t sequence,
                         std::string_view id, std::string_view what) {
  return absl::DataLossError(concat(file, ": ", table, " '", absl::CHexEscape(std::string(id)), "' (row ",
                                    sequence, "): ", what, "; ", kRestore,
                                    ", or give up the row with sqlite3 '", file, "' 'DELETE FROM ", table,
                                    " WHERE sequence=", sequence, "'"));
}

absl::Status damaged_file(const std::string& file, std::string_view what) {
  return absl::DataLossError(concat(file, ": the file is damaged: ", what, "; ", kRestore));
}

}  // namespace brakeward::store
