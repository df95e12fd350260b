// Runs a program of the machine on a text, as an independent reader of what a view writes.
#pragma once

#include <string>

namespace brakeward::report {

// Is a command there to be run?
bool can_run(const std::string& command);

// A text in a file of its own, gone with the object.
class TextFile {
 public:
  explicit TextFile(const std::string& text);
  ~TextFile();
  TextFile(const TextFile&) = delete;
  TextFile& operator=(const TextFile&) = delete;

  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

// What the command prints on both its outputs, without the last line breaks. `exit_code` may be nullptr.
std::string output_of(const std::string& command, int* exit_code = nullptr);

}  // namespace brakeward::report
