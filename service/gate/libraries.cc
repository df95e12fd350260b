#include "gate/libraries.h"

#include <algorithm>

#include "compile/check_vehicle.h"
#include "gate/session.h"

namespace brakeward::gate {
namespace {

absl::StatusOr<std::shared_ptr<const HeldLibrary>> load_one(const std::filesystem::path& folder,
                                                            const std::filesystem::path& recordings_folder) {
  scenario::LoadOptions how;
  how.recordings_folder = recordings_folder;
  document::Faults faults;
  auto library = std::make_shared<scenario::Library>(scenario::load_library(folder, how, faults));
  if (faults.empty()) {
    compile::check_vehicle(library->vehicle.message, library->vehicle.file.string(), faults);
    check_measure_names(*library, faults);
  }
  const std::string& name = library->index.name();
  if (name.find('/') != std::string::npos)
    faults.add({(folder / "library.textproto").string(), 0, 0, "name",
                "\"" + name + "\" holds a '/', which parts resource names; take another character"});
  if (!faults.empty()) return faults.status();
  Session session;
  session.library = library;
  if (const auto& baseline = library->baseline)
    session.reference = library->calibration_hashed(baseline->message.calibration_sha256());
  if (absl::Status status = check_baseline(session); !status.ok()) return status;
  auto held = std::make_shared<HeldLibrary>();
  held->sha256 = library_sha256(*library);
  held->library = std::move(library);
  return held;
}

std::string taken(const std::filesystem::path& folder, const std::string& name) {
  return (folder / "library.textproto").string() + ": name: another library of the service is named \"" +
         name + "\" too; names must be unique\n";
}

std::string lines_of(const absl::Status& status) {
  std::string text(status.message());
  if (!text.empty() && text.back() != '\n') text += '\n';
  return text;
}

}  // namespace

absl::StatusOr<std::unique_ptr<Libraries>> Libraries::load(std::vector<std::filesystem::path> folders,
                                                           std::filesystem::path recordings_folder) {
  std::unique_ptr<Libraries> out(new Libraries());
  std::string faults;
  absl::StatusCode code = absl::StatusCode::kOk;
  for (const auto& folder : folders) {
    auto held = load_one(folder, recordings_folder);
    if (!held.ok()) {
      faults += lines_of(held.status());
      code = code == absl::StatusCode::kOk ? held.status().code() : absl::StatusCode::kInvalidArgument;
    } else if (out->find((*held)->name())) {
      faults += taken(folder, (*held)->name());
      code = absl::StatusCode::kInvalidArgument;
    } else {
      out->held_.push_back(*std::move(held));
    }
  }
  if (code != absl::StatusCode::kOk) return absl::Status(code, faults);
  out->folders_ = std::move(folders);
  out->recordings_folder_ = std::move(recordings_folder);
  return out;
}

std::vector<std::shared_ptr<const HeldLibrary>> Libraries::all() const {
  const std::lock_guard lock(mutex_);
  return held_;
}

std::shared_ptr<const HeldLibrary> Libraries::find(std::string_view name) const {
  const std::lock_guard lock(mutex_);
  const auto it = std::find_if(held_.begin(), held_.end(), [&](const auto& h) { return h->name() == name; });
  return it == held_.end() ? nullptr : *it;
}

std::vector<Libraries::Reloaded> Libraries::reload() {
  std::vector<Reloaded> out;
  for (size_t i = 0; i < folders_.size(); ++i) {
    auto fresh = load_one(folders_[i], recordings_folder_);
    const std::lock_guard lock(mutex_);
    Reloaded told{folders_[i], held_[i]->name(), false, fresh.status()};
    if (fresh.ok()) {
      const auto same_name = [&](const auto& h) { return h != held_[i] && h->name() == (*fresh)->name(); };
      if (std::any_of(held_.begin(), held_.end(), same_name)) {
        told.status = absl::InvalidArgumentError(taken(folders_[i], (*fresh)->name()));
      } else if ((*fresh)->sha256 != held_[i]->sha256 || (*fresh)->name() != held_[i]->name()) {
        held_[i] = *std::move(fresh);
        told.name = held_[i]->name();
        told.changed = true;
      }
    }
    out.push_back(std::move(told));
  }
  return out;
}

}  // namespace brakeward::gate
