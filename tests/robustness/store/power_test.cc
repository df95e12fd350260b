// Loss of power. A layer between SQLite and the file system keeps, of every file, what was last brought to
// the disk with a sync; what was only written is what a loss of power may take. After every acknowledged row
// a store is put together from the synced contents alone, and the row has to be in it.
#include <sqlite3.h>

#include <cstring>
#include <fstream>
#include <map>

#include "store/concat.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

std::map<std::string, std::string>& synced() {
  static auto* contents = new std::map<std::string, std::string>;
  return *contents;
}

// SQLite's file below ours lies right behind it in memory.
struct Watched {
  sqlite3_file base;
  std::string* name;
  sqlite3_file* below() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

sqlite3_file* below(sqlite3_file* file) {
  return reinterpret_cast<Watched*>(file)->below();
}

int close(sqlite3_file* file) {
  delete reinterpret_cast<Watched*>(file)->name;
  return below(file)->pMethods->xClose(below(file));
}
int read(sqlite3_file* file, void* to, int size, sqlite3_int64 at) {
  return below(file)->pMethods->xRead(below(file), to, size, at);
}
int write(sqlite3_file* file, const void* from, int size, sqlite3_int64 at) {
  return below(file)->pMethods->xWrite(below(file), from, size, at);
}
int truncate(sqlite3_file* file, sqlite3_int64 size) {
  return below(file)->pMethods->xTruncate(below(file), size);
}
int sync(sqlite3_file* file, int flags) {
  const int result = below(file)->pMethods->xSync(below(file), flags);
  sqlite3_int64 size = 0;
  below(file)->pMethods->xFileSize(below(file), &size);
  std::string content(static_cast<std::size_t>(size), '\0');
  if (size > 0) below(file)->pMethods->xRead(below(file), content.data(), static_cast<int>(size), 0);
  synced()[*reinterpret_cast<Watched*>(file)->name] = content;
  return result;
}
int file_size(sqlite3_file* file, sqlite3_int64* size) {
  return below(file)->pMethods->xFileSize(below(file), size);
}
int lock(sqlite3_file* file, int level) {
  return below(file)->pMethods->xLock(below(file), level);
}
int unlock(sqlite3_file* file, int level) {
  return below(file)->pMethods->xUnlock(below(file), level);
}
int check_lock(sqlite3_file* file, int* out) {
  return below(file)->pMethods->xCheckReservedLock(below(file), out);
}
int control(sqlite3_file* file, int op, void* arg) {
  return below(file)->pMethods->xFileControl(below(file), op, arg);
}
int sector_size(sqlite3_file* file) {
  return below(file)->pMethods->xSectorSize(below(file));
}
int traits(sqlite3_file* file) {
  return below(file)->pMethods->xDeviceCharacteristics(below(file));
}
int shm_map(sqlite3_file* file, int page, int size, int extend, void volatile** out) {
  return below(file)->pMethods->xShmMap(below(file), page, size, extend, out);
}
int shm_lock(sqlite3_file* file, int offset, int n, int flags) {
  return below(file)->pMethods->xShmLock(below(file), offset, n, flags);
}
void shm_barrier(sqlite3_file* file) {
  below(file)->pMethods->xShmBarrier(below(file));
}
int shm_unmap(sqlite3_file* file, int remove) {
  return below(file)->pMethods->xShmUnmap(below(file), remove);
}

const sqlite3_io_methods kMethods = {
    2,       close,       read,   write,   truncate, sync,        file_size, lock,    unlock, check_lock,
    control, sector_size, traits, shm_map, shm_lock, shm_barrier, shm_unmap, nullptr, nullptr};

sqlite3_vfs* system_files() {
  static sqlite3_vfs* const vfs = sqlite3_vfs_find("unix");
  return vfs;
}

int open(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out_flags) {
  auto* watched = reinterpret_cast<Watched*>(file);
  const int result = system_files()->xOpen(system_files(), name, watched->below(), flags, out_flags);
  watched->base.pMethods = watched->below()->pMethods != nullptr ? &kMethods : nullptr;
  if (watched->base.pMethods != nullptr) watched->name = new std::string(name != nullptr ? name : "");
  return result;
}

int remove(sqlite3_vfs*, const char* name, int sync_folder) {
  if (name != nullptr) synced().erase(name);
  return system_files()->xDelete(system_files(), name, sync_folder);
}

// Takes the place of the system's files while it lives.
class WatchedFiles {
 public:
  WatchedFiles() : vfs_(*system_files()) {
    synced().clear();
    vfs_.zName = "watched";
    vfs_.szOsFile = static_cast<int>(sizeof(Watched)) + system_files()->szOsFile;
    vfs_.pNext = nullptr;
    vfs_.xOpen = open;
    vfs_.xDelete = remove;
    sqlite3_vfs_register(&vfs_, 1);
  }
  ~WatchedFiles() {
    sqlite3_vfs_unregister(&vfs_);
    sqlite3_vfs_register(system_files(), 1);
  }

  // What a loss of power now would leave of the files of one folder, in another one.
  static void leave(const std::filesystem::path& from, const std::filesystem::path& to) {
    std::filesystem::remove_all(to);
    std::filesystem::create_directory(to);
    for (const auto& [name, content] : synced()) {
      const std::filesystem::path file = name;
      if (file.parent_path() == from) std::ofstream(to / file.filename(), std::ios::binary) << content;
    }
  }

 private:
  sqlite3_vfs vfs_;
};

RunRow run_of(int number) {
  RunRow run = sample_run(number, "sorrel", "build");
  run.body =
      sample_bytes(static_cast<std::uint64_t>(number), static_cast<std::size_t>(number) * 7919 % 50'000);
  return run;
}

TEST(Power, WhatWasAcknowledgedWasSyncedBefore) {
  const TemporaryFolder folder;
  const std::filesystem::path left = folder.path() / "left";
  const WatchedFiles files;
  std::unique_ptr<Store> store = open_or_fail(folder.file("history.db"));
  ASSERT_NE(store, nullptr);
  for (int number = 0; number < 250 && !testing::Test::HasFailure(); ++number) {
    ASSERT_THAT(store->put_run(run_of(number)), Succeeds());
    if (number == 70) {
      ASSERT_THAT(store->checkpoint(), Succeeds());
    }
    if (number == 140) {
      store = nullptr;
      store = open_or_fail(folder.file("history.db"));
    }
    if (number % 10 != 0 && number % 70 > 3) continue;
    WatchedFiles::leave(folder.path(), left);
    const std::unique_ptr<Store> after = open_or_fail(left / "history.db");
    ASSERT_NE(after, nullptr) << number;
    EXPECT_EQ(*after->count_runs(), number + 1);
    for (int i : {0, number / 2, number}) {
      const absl::StatusOr<RunRow> run = after->get_run(run_of(i).run_id);
      ASSERT_THAT(run, Succeeds()) << number;
      EXPECT_EQ(text_of(*run), text_of(run_of(i)));
    }
  }
}

}  // namespace
}  // namespace brakeward::store
