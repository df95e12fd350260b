// A car's library on disk: its documents loaded, checked and resolved by name and hash.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "brakeward/v1/baseline.pb.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/campaign.pb.h"
#include "brakeward/v1/library.pb.h"
#include "brakeward/v1/recording.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/season.pb.h"
#include "brakeward/v1/stint.pb.h"
#include "brakeward/v1/tolerances.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/fault.h"
#include "recording/recording.h"

namespace brakeward::scenario {

// A document with where it came from and the hash of what it says once defaults are filled in.
template <class Message>
struct Loaded {
  std::filesystem::path file;
  Message message;  // defaults resolved
  std::string sha256;
};

// A recording document with its log.
struct LoadedRecording : Loaded<v1::Recording> {
  recording::Log log;
  std::string file_sha256;  // of the CSV bytes
};

struct Library {
  std::filesystem::path folder;
  v1::Library index;
  Loaded<v1::Vehicle> vehicle;
  Loaded<v1::ToleranceSet> tolerances;
  std::optional<Loaded<v1::Baseline>> baseline;
  std::vector<Loaded<v1::Calibration>> calibrations;
  std::vector<LoadedRecording> recordings;
  std::vector<Loaded<v1::Scenario>> scenarios;
  std::vector<Loaded<v1::Campaign>> campaigns;  // after the scenarios in library order
  std::vector<Loaded<v1::Stint>> stints;        // after the campaigns

  const Loaded<v1::Calibration>* calibration_named(std::string_view name) const;
  const Loaded<v1::Calibration>* calibration_hashed(std::string_view sha256) const;
  const LoadedRecording* recording_named(std::string_view name) const;
  const Loaded<v1::Scenario>* scenario_named(std::string_view name) const;
};

// What may be swapped when a library is loaded.
struct LoadOptions {
  std::filesystem::path vehicle_file;       // instead of the library's; empty for the library's
  std::filesystem::path baseline_file;      // instead of the library's; empty for the library's
  bool without_baseline = false;            // do not load any baseline
  std::filesystem::path recordings_folder;  // where CSV files are looked for when not beside their document
};

// Loads `folder`/library.textproto and everything it names. All faults of all documents are collected; the
// library is usable only when none was found. Cross references are checked: names unique, recordings and
// calibrations known, vehicle names agree, balance steps and effort grades exist.
Library load_library(const std::filesystem::path& folder, const LoadOptions& options,
                     document::Faults& faults);

// One document of any type, defaults resolved.
template <class Message>
Loaded<Message> load_document(const std::filesystem::path& file, document::Faults& faults);

// Plain channel map of a recording document; a map in a file of its own is loaded from beside the document.
recording::ChannelMap channel_map_of(const v1::ChannelMap& map);

// Adds a fault for everything in a channel map that is wrong whatever the log holds; `at` is the map's
// address in `file`, empty when the map is the whole document.
void check_channel_map(const v1::ChannelMap& map, const std::string& file, const std::string& at,
                       document::Faults& faults);

// "straight_dry" for SCENARIO_CLASS_STRAIGHT_DRY.
std::string class_word(v1::ScenarioClass c);

}  // namespace brakeward::scenario
