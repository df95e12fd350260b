#include "end_to_end/program.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <sstream>

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

constexpr uid_t kNobody = 65534;

// A sanitizer's finding must not look like one of the program's own exit codes.
void tell_findings_apart(const char* name) {
  const char* set = std::getenv(name);
  ::setenv(name, ((set == nullptr ? "" : std::string(set) + ":") + "exitcode=99").c_str(), 1);
}

// In the child: never returns.
[[noreturn]] void execute(const std::vector<std::string>& command, const How& how) {
  if (how.powerless && ::geteuid() == 0 && (::setgid(kNobody) != 0 || ::setuid(kNobody) != 0)) ::_exit(126);
  tell_findings_apart("ASAN_OPTIONS");
  tell_findings_apart("UBSAN_OPTIONS");
  ::unsetenv("BRAKEWARD_RECORDINGS");  // a test names its own folder of logs
  for (const std::string& setting : how.environment) ::putenv(const_cast<char*>(setting.c_str()));
  std::vector<char*> arguments;
  for (const std::string& a : command) arguments.push_back(const_cast<char*>(a.c_str()));
  arguments.push_back(nullptr);
  ::execvp(arguments[0], arguments.data());
  ::_exit(127);
}

void wait_for(pid_t child, Outcome& out) {
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status)) out.exit_code = WEXITSTATUS(status);
  if (WIFSIGNALED(status)) out.signal = WTERMSIG(status);
}

Outcome run_under_terminal(const std::vector<std::string>& command, const How& how) {
  Outcome out;
  int master = -1;
  const pid_t child = ::forkpty(&master, nullptr, nullptr, nullptr);
  if (child == 0) execute(command, how);
  EXPECT_GT(child, 0);
  char piece[4096];
  // Linux ends the stream with EIO once the child has closed its side.
  for (ssize_t n; (n = ::read(master, piece, sizeof piece)) > 0 || (n < 0 && errno == EINTR);)
    if (n > 0) out.out.append(piece, static_cast<size_t>(n));
  wait_for(child, out);
  ::close(master);
  return out;
}

Outcome run_with_files(const std::vector<std::string>& command, const How& how) {
  const TemporaryFolder folder;
  const fs::path out_file =
      how.standard_output.empty() ? folder.path() / "out" : fs::path(how.standard_output);
  const fs::path err_file = folder.path() / "err";
  const pid_t child = ::fork();
  if (child == 0) {
    const int out = ::open(out_file.c_str(), O_WRONLY | O_CREAT, 0666);
    const int err = ::open(err_file.c_str(), O_WRONLY | O_CREAT, 0666);
    if (out < 0 || err < 0 || ::dup2(out, 1) < 0 || ::dup2(err, 2) < 0) ::_exit(125);
    execute(command, how);
  }
  EXPECT_GT(child, 0);
  Outcome outcome;
  wait_for(child, outcome);
  if (how.standard_output.empty()) outcome.out = read_file(out_file);
  outcome.err = read_file(err_file);
  return outcome;
}

}  // namespace

bool has_pseudo_terminals() {
  const int master = ::posix_openpt(O_RDWR | O_NOCTTY);
  if (master >= 0) ::close(master);
  return master >= 0;
}

Outcome run_other(const std::vector<std::string>& command, const How& how) {
  return how.terminal ? run_under_terminal(command, how) : run_with_files(command, how);
}

Outcome run(const std::vector<std::string>& arguments, const How& how) {
  std::vector<std::string> command = how.before;
  command.push_back(BRAKEWARD_PROGRAM);
  command.insert(command.end(), arguments.begin(), arguments.end());
  return run_other(command, how);
}

bool is_installed(const std::string& program) {
  const char* path = std::getenv("PATH");
  std::istringstream folders(path == nullptr ? "" : path);
  for (std::string folder; std::getline(folders, folder, ':');)
    if (::access((fs::path(folder) / program).c_str(), X_OK) == 0) return true;
  return false;
}

}  // namespace brakeward::end_to_end
