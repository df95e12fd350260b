// The file's format, version 1: an SQLite 3 database, UTF-8, in WAL mode.
//
//   application_id 0x42775374 ("BwSt" in ASCII), user_version 1.
//
// Times are milliseconds since 1970-01-01 UTC. `sequence` counts the rows of a table from 1 in the order they
// came. Bodies lie in tables of their own, so that a list reads none of them; a body belongs to the row with
// its sequence.
//
//   run             one finished run
//     sequence          INTEGER  the table's key
//     run_id            TEXT     unique
//     finished_ms       INTEGER  time
//     library           TEXT
//     event_build       TEXT     empty for a variant
//     calibration_name  TEXT
//     state             TEXT
//     verdict           TEXT
//     result_sha256     TEXT
//     body_sha256       BLOB     32 bytes: SHA-256 of the body
//     checksum          BLOB     32 bytes: see below
//   run_body        sequence INTEGER, body BLOB
//
//   event           something that happened
//     sequence          INTEGER  the table's key
//     at_ms             INTEGER  time
//     kind              TEXT
//     subject           TEXT     may be empty
//     text              TEXT     may be empty
//     checksum          BLOB
//
//   baseline        one baseline
//     sequence          INTEGER  the table's key
//     sha256            TEXT     unique; hash of the baseline's content, not of the body's bytes
//     kept_ms           INTEGER  time
//     library           TEXT
//     event_build       TEXT
//     body_sha256       BLOB
//     checksum          BLOB
//   baseline_body   sequence INTEGER, body BLOB
//
// A row's checksum is SHA-256 over the table's name and then all its columns but the checksum, in the order
// above; each one is fed as its length in bytes (eight bytes, lowest first) and its bytes, a number as eight
// bytes, lowest first. So a list verifies its rows without their bodies, and a body is verified by the hash
// that the row's checksum covers. Checksums tell damage and carelessness, not a forger, who can work them out
// anew. Rows taken out by hand are not noticed.
#pragma once

#include "absl/status/status.h"
#include "store/sqlite_connection.h"

namespace brakeward::store {

enum class Kind { kEmpty, kStore };

// Whether the file is a store of this version or has nothing in it yet; FailedPrecondition for anything else.
absl::StatusOr<Kind> identify(Connection& connection);

// Makes the tables in an empty file. Another process may be first: then there is nothing left to do.
absl::Status create_schema(Connection& connection);

// DataLoss when tables or indexes are not as create_schema made them, or when the pages of the tables without
// bodies or of their indexes do not fit together. Reads all of those.
absl::Status verify_schema(Connection& connection);

}  // namespace brakeward::store
