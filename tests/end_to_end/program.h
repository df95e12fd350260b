// Runs the program as a child process and keeps what it said.
#pragma once

#include <string>
#include <vector>

#include "files.h"
#include "temporary_folder.h"

namespace brakeward::end_to_end {

struct Outcome {
  int exit_code = -1;  // -1 when a signal ended it
  int signal = 0;
  std::string out, err;  // under a terminal both are in `out`
};

struct How {
  std::vector<std::string> environment;  // "NAME=value", over the test's own
  std::string standard_output;           // a file to open instead of keeping what is printed
  bool terminal = false;                 // standard output and error are a pseudo terminal
  bool powerless = false;                // as user nobody, where the test runs as root
  std::vector<std::string> before;       // put before the program, as an emulator is
};

// The program under test with these arguments.
Outcome run(const std::vector<std::string>& arguments, const How& how = {});
// Any other program, looked for in PATH.
Outcome run_other(const std::vector<std::string>& command, const How& how = {});

// Can this machine give a pseudo terminal? A bare chroot without /dev/pts cannot.
bool has_pseudo_terminals();

// Is a program of that name in PATH?
bool is_installed(const std::string& program);

using tests::read_file;
using tests::TemporaryFolder;
using tests::write_file;

}  // namespace brakeward::end_to_end
