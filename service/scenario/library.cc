#include "scenario/library.h"

#include <algorithm>
#include <cctype>
#include <fstream>
#include <iterator>

#include "document/content_hash.h"
#include "document/defaults.h"
#include "document/parse.h"
#include "document/sha256.h"
#include "scenario/references.h"

namespace brakeward::scenario {
namespace {

namespace fs = std::filesystem;

std::string file_hash(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return document::sha256_hex(std::string(std::istreambuf_iterator<char>(in), {}));
}

// The CSV beside its document or, where it is not there, in the recordings folder.
fs::path csv_path(const Loaded<v1::Recording>& doc, const fs::path& recordings_folder) {
  const fs::path beside = doc.file.parent_path() / doc.message.file();
  std::error_code ignored;
  if (fs::exists(beside, ignored) || recordings_folder.empty()) return beside;
  return recordings_folder / doc.message.file();
}

void load_log(const LoadOptions& options, LoadedRecording& rec, document::Faults& faults) {
  const std::string name = rec.file.string();
  v1::ChannelMap map = rec.message.channel_map();
  if (!rec.message.channel_map_file().empty()) {
    if (rec.message.has_channel_map()) {
      faults.add(
          {name, 0, 0, "channel_map_file", "both channel_map and channel_map_file are given; keep one"});
      return;
    }
    const fs::path file = rec.file.parent_path() / rec.message.channel_map_file();
    map = load_document<v1::ChannelMap>(file, faults).message;
    if (faults.empty()) check_channel_map(map, file.string(), "", faults);
  } else if (!rec.message.has_channel_map()) {
    faults.add({name, 0, 0, "channel_map", "no channel map; give channel_map or channel_map_file"});
    return;
  } else {
    check_channel_map(map, name, "channel_map", faults);
  }
  if (!faults.empty()) return;
  const fs::path csv = csv_path(rec, options.recordings_folder);
  auto log = recording::read_csv(csv, channel_map_of(map));
  if (!log.ok()) {
    std::string text(log.status().message());
    if (log.status().code() == absl::StatusCode::kNotFound)
      text += "; put it beside this document, or name the folder it lies in with --recordings";
    faults.add({name, 0, 0, "file", std::move(text)});
    return;
  }
  rec.log = *std::move(log);
  rec.file_sha256 = file_hash(csv);
  const std::string& expected = rec.message.file_sha256();
  if (!expected.empty() && expected != rec.file_sha256)
    faults.add(
        {name, 0, 0, "file_sha256",
         csv.string() + " has SHA-256 " + rec.file_sha256 + ", the document says " + expected +
             "; the recording has changed since the document was written. Restore the file, or write its "
             "hash into the document and propose the baseline again"});
}

}  // namespace

template <class Message>
Loaded<Message> load_document(const fs::path& file, document::Faults& faults) {
  Loaded<Message> out;
  out.file = file;
  const document::Faults found = document::load(file, &out.message);
  faults.append(found);
  if (!found.empty()) return out;
  document::resolve_defaults(&out.message);
  auto hash = document::content_sha256(out.message);
  if (hash.ok())
    out.sha256 = *std::move(hash);
  else
    faults.add({file.string(), 0, 0, "", std::string(hash.status().message())});
  return out;
}

template Loaded<v1::Vehicle> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Calibration> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Recording> load_document(const fs::path&, document::Faults&);
template Loaded<v1::ChannelMap> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Scenario> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Campaign> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Stint> load_document(const fs::path&, document::Faults&);
template Loaded<v1::ToleranceSet> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Baseline> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Library> load_document(const fs::path&, document::Faults&);
template Loaded<v1::Season> load_document(const fs::path&, document::Faults&);

Library load_library(const fs::path& folder, const LoadOptions& options, document::Faults& faults) {
  Library lib;
  lib.folder = folder;
  std::error_code ignored;
  if (!fs::is_directory(folder, ignored)) {
    faults.add({folder.string(), 0, 0, "",
                "there is no such folder; name the folder of the car, the one that holds library.textproto"});
    return lib;
  }
  const auto index = load_document<v1::Library>(folder / "library.textproto", faults);
  lib.index = index.message;
  if (!faults.empty()) return lib;
  const auto other = [](const fs::path& chosen, const fs::path& own) {
    return chosen.empty() ? own : chosen;
  };
  lib.vehicle =
      load_document<v1::Vehicle>(other(options.vehicle_file, folder / lib.index.vehicle_file()), faults);
  lib.tolerances = load_document<v1::ToleranceSet>(folder / lib.index.tolerances_file(), faults);
  for (const std::string& f : lib.index.calibration_files())
    lib.calibrations.push_back(load_document<v1::Calibration>(folder / f, faults));
  for (const std::string& f : lib.index.scenario_files())
    lib.scenarios.push_back(load_document<v1::Scenario>(folder / f, faults));
  for (const std::string& f : lib.index.campaign_files())
    lib.campaigns.push_back(load_document<v1::Campaign>(folder / f, faults));
  for (const std::string& f : lib.index.stint_files())
    lib.stints.push_back(load_document<v1::Stint>(folder / f, faults));
  for (const std::string& f : lib.index.recording_files()) {
    LoadedRecording rec;
    document::Faults own;
    static_cast<Loaded<v1::Recording>&>(rec) = load_document<v1::Recording>(folder / f, own);
    if (own.empty()) load_log(options, rec, own);
    faults.append(own);
    lib.recordings.push_back(std::move(rec));
  }
  const bool names_one = !options.baseline_file.empty() || !lib.index.baseline_file().empty();
  if (!options.without_baseline && names_one)
    lib.baseline =
        load_document<v1::Baseline>(other(options.baseline_file, folder / lib.index.baseline_file()), faults);
  if (faults.empty()) check_references(lib, faults);
  return lib;
}

namespace {

// The first item that has it, or null.
template <class Item, class Has>
const Item* find_item(const std::vector<Item>& items, Has has) {
  const auto it = std::find_if(items.begin(), items.end(), has);
  return it == items.end() ? nullptr : &*it;
}

template <class Item>
const Item* named(const std::vector<Item>& items, std::string_view name) {
  return find_item(items, [&](const Item& item) { return item.message.name() == name; });
}

}  // namespace

const Loaded<v1::Calibration>* Library::calibration_named(std::string_view name) const {
  return named(calibrations, name);
}

const Loaded<v1::Calibration>* Library::calibration_hashed(std::string_view sha256) const {
  return find_item(calibrations, [&](const auto& c) { return c.sha256 == sha256; });
}

const LoadedRecording* Library::recording_named(std::string_view name) const {
  return named(recordings, name);
}

const Loaded<v1::Scenario>* Library::scenario_named(std::string_view name) const {
  return named(scenarios, name);
}

std::string class_word(v1::ScenarioClass c) {
  std::string word = v1::ScenarioClass_Name(c).substr(sizeof("SCENARIO_CLASS_") - 1);
  std::transform(word.begin(), word.end(), word.begin(), [](unsigned char x) { return std::tolower(x); });
  return word;
}

}  // namespace brakeward::scenario
