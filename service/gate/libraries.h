// The libraries a service holds: loaded once, shared, replaced whole.
#pragma once

#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "scenario/library.h"

namespace brakeward::gate {

// A library as loaded. Constant; lives as long as anybody holds it.
struct HeldLibrary {
  std::shared_ptr<const scenario::Library> library;
  std::string sha256;  // library_sha256() of gate/session.h

  const std::string& name() const { return library->index.name(); }
};

// Thread-safe. A reload swaps a library at once: a run that began with the old one ends with it.
class Libraries {
 public:
  // Loads every folder. InvalidArgument with all faults of all of them; also when two have the same name or a
  // name holds a '/'. FailedPrecondition when a baseline does not fit its library.
  static absl::StatusOr<std::unique_ptr<Libraries>> load(std::vector<std::filesystem::path> folders,
                                                         std::filesystem::path recordings_folder);

  // In the order of the folders.
  std::vector<std::shared_ptr<const HeldLibrary>> all() const;
  // Null when there is none of that name.
  std::shared_ptr<const HeldLibrary> find(std::string_view name) const;

  // One outcome a folder.
  struct Reloaded {
    std::filesystem::path folder;
    std::string name;      // of the library that is held now
    bool changed = false;  // its content is another one now
    absl::Status status;   // why the new content was refused; the old one stays then
  };
  // Loads every folder again; a bad one is refused and its library stays as it was.
  std::vector<Reloaded> reload();

 private:
  Libraries() = default;

  std::vector<std::filesystem::path> folders_;
  std::filesystem::path recordings_folder_;
  mutable std::mutex mutex_;
  std::vector<std::shared_ptr<const HeldLibrary>> held_;  // guarded by mutex_
};

}  // namespace brakeward::gate
