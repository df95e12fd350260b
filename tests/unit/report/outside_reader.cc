#include "unit/report/outside_reader.h"

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>

namespace brakeward::report {

bool can_run(const std::string& command) {
  return std::system((command + " >/dev/null 2>&1").c_str()) == 0;
}

TextFile::TextFile(const std::string& text) : path_(testing::TempDir() + "brakeward_report_XXXXXX") {
  ::close(::mkstemp(path_.data()));
  std::ofstream(path_, std::ios::binary) << text;
}

TextFile::~TextFile() {
  std::remove(path_.c_str());
}

std::string output_of(const std::string& command, int* exit_code) {
  FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  std::string text;
  char buffer[4096];
  for (size_t n; (n = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) text.append(buffer, n);
  const int status = ::pclose(pipe);
  if (exit_code != nullptr) *exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  while (!text.empty() && text.back() == '\n') text.pop_back();
  return text;
}

}  // namespace brakeward::report
