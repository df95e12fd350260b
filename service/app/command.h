// What every command shares: exit codes, and how a failure is told.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <string>

#include "absl/status/status.h"
#include "gate/check.h"
#include "verdict/run.h"

namespace brakeward::app {

// Exit codes; 64 and above as in sysexits.h.
enum ExitCode {
  kPass = 0,
  kFail = 1,
  kInconclusive = 2,
  kScenarioError = 3,
  kUsage = 64,
  kBadData = 65,
  kUnavailable = 69,
  kInternal = 70,
  kTryAgain = 75,
  kNotAllowed = 77,
};

int exit_code_of(const absl::Status& status);
int exit_code_of(verdict::Verdict verdict);
// Of one replay: whether it broke, which is then told.
int exit_code_of(const verdict::ScenarioResult& replayed);

// "brakeward: TEXT" to standard error, every line of a status with several; returns the exit code.
int report_failure(const absl::Status& status);

// The same for a command line that asks for what does not go together; kUsage.
int report_misuse(const std::string& command, const std::string& text);

// Writes text to standard output.
void print(const std::string& text);
// Standard output is a terminal, and NO_COLOR is not set.
bool is_colour_wanted();

// For options that name a file or folder: an empty value, as from an unset variable of a script, is refused.
CLI::Validator a_name();

// Options that name a library and what to take instead of its own documents.
struct LibraryOptions {
  std::string library = "scenarios/sorrel";
  std::string vehicle;
  std::string baseline;
  std::string recordings;
};
void add_library_options(CLI::App& command, LibraryOptions& options, bool with_baseline);
void add_tier_option(CLI::App& command, verdict::Tier& tier);
gate::Options gate_options(const LibraryOptions& options, const std::string& calibration);

// Each adds one command; its callback leaves the exit code in *exit_code.
void add_check(CLI::App& app, int* exit_code);
void add_serve(CLI::App& app, int* exit_code);
void add_runs(CLI::App& app, int* exit_code);
void add_replay(CLI::App& app, int* exit_code);
void add_export(CLI::App& app, int* exit_code);
void add_baseline(CLI::App& app, int* exit_code);
void add_drift(CLI::App& app, int* exit_code);
void add_compare(CLI::App& app, int* exit_code);
void add_import(CLI::App& app, int* exit_code);
void add_fit(CLI::App& app, int* exit_code);
void add_diff(CLI::App& app, int* exit_code);
void add_describe(CLI::App& app, int* exit_code);
void add_selfcheck(CLI::App& app, int* exit_code);
void add_completion(CLI::App& app, int* exit_code);
void add_manual(CLI::App& app, int* exit_code);

}  // namespace brakeward::app
