// The commands and options as --help knows them, and other texts made of them.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace brakeward::app {

struct OptionEntry {
  std::vector<std::string> names;  // "--json", "-h"; of a positional its one name without dashes
  bool positional = false;
  bool required = false;
  std::string value;    // "TEXT", "INT in [0 - 1024]"; empty for a flag
  std::string meaning;  // sentence, with default and environment variable
};

struct CommandEntry {
  std::string path;  // words after the program's name: "export trace"; empty for the program
  std::string description;
  std::vector<OptionEntry> options;
  std::vector<CommandEntry> commands;
};

CommandEntry tree_of(const CLI::App& app);

// A script for bash that completes commands and options of the program, and files elsewhere.
std::string render_bash_completion(const CommandEntry& root);

// The manual page, section 1, as source for man(1). `version` stands in its foot, `caution` at its end.
std::string render_manual(const CommandEntry& root, const std::string& version, const std::string& caution);

}  // namespace brakeward::app
