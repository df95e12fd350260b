#include "app/command.h"

#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <map>
#include <sstream>

namespace brakeward::app {

int exit_code_of(const absl::Status& status) {
  switch (status.code()) {
    case absl::StatusCode::kOk:
      return kPass;
    case absl::StatusCode::kInvalidArgument:
    case absl::StatusCode::kFailedPrecondition:
    case absl::StatusCode::kNotFound:
    case absl::StatusCode::kOutOfRange:
      return kBadData;
    case absl::StatusCode::kUnavailable:
      return kUnavailable;
    case absl::StatusCode::kResourceExhausted:
    case absl::StatusCode::kDeadlineExceeded:
    case absl::StatusCode::kCancelled:
      return kTryAgain;
    case absl::StatusCode::kUnauthenticated:
    case absl::StatusCode::kPermissionDenied:
      return kNotAllowed;
    default:
      return kInternal;
  }
}

int exit_code_of(verdict::Verdict verdict) {
  switch (verdict) {
    case verdict::Verdict::kPass:
      return kPass;
    case verdict::Verdict::kFail:
      return kFail;
    case verdict::Verdict::kError:
      return kScenarioError;
    case verdict::Verdict::kNone:
    case verdict::Verdict::kInconclusive:
      return kInconclusive;
  }
  return kInternal;
}

int exit_code_of(const verdict::ScenarioResult& replayed) {
  if (replayed.verdict != verdict::Verdict::kError) return kPass;
  std::fprintf(stderr, "brakeward: %s: %s\n", replayed.scenario.c_str(), replayed.reason.c_str());
  return kScenarioError;
}

int report_failure(const absl::Status& status) {
  std::istringstream lines{std::string(status.message())};
  for (std::string line; std::getline(lines, line);)
    if (!line.empty()) std::fprintf(stderr, "brakeward: %s\n", line.c_str());
  return exit_code_of(status);
}

int report_misuse(const std::string& command, const std::string& text) {
  std::fprintf(stderr, "brakeward: %s: %s\n", command.c_str(), text.c_str());
  return kUsage;
}

void print(const std::string& text) {
  std::fwrite(text.data(), 1, text.size(), stdout);
}

bool is_colour_wanted() {
  const char* no_colour = std::getenv("NO_COLOR");
  return isatty(STDOUT_FILENO) && (no_colour == nullptr || *no_colour == '\0');
}

CLI::Validator a_name() {
  return CLI::Validator(
      [](std::string& value) {
        return value.empty() ? std::string("is empty; give a name or leave the option out") : std::string();
      },
      "");
}

void add_library_options(CLI::App& command, LibraryOptions& options, bool with_baseline) {
  command.add_option("--library", options.library, "folder of the car's library")
      ->capture_default_str()
      ->check(a_name());
  command.add_option("--vehicle", options.vehicle, "vehicle document instead of the library's")
      ->check(a_name());
  command
      .add_option("--recordings", options.recordings,
                  "folder of recordings that do not lie beside their document")
      ->envname("BRAKEWARD_RECORDINGS")
      ->check(a_name());
  if (with_baseline)
    command.add_option("--baseline", options.baseline, "baseline document instead of the library's")
        ->check(a_name());
}

void add_tier_option(CLI::App& command, verdict::Tier& tier) {
  using verdict::Tier;
  std::map<std::string, Tier> words;
  for (const Tier t : {Tier::kGate, Tier::kEndurance, Tier::kAll}) words[verdict::word(t)] = t;
  command
      .add_option(
          "--tier", tier,
          "which scenarios, campaigns and stints are replayed: gate, endurance or all; gate when not said")
      ->transform(CLI::CheckedTransformer(words).description(""))
      ->type_name("TIER");
}

gate::Options gate_options(const LibraryOptions& options, const std::string& calibration) {
  gate::Options out;
  out.library = options.library;
  out.calibration = calibration;
  out.load.vehicle_file = options.vehicle;
  out.load.baseline_file = options.baseline;
  out.load.recordings_folder = options.recordings;
  return out;
}

}  // namespace brakeward::app
