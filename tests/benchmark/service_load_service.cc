#include "benchmark/service_load_service.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "benchmark/service_load.h"

namespace brakeward::benchmark {
namespace {

// The first line of the output; empty when the program ended before it.
std::string read_line(int output) {
  std::string line;
  for (char c = 0; read(output, &c, 1) == 1 && c != '\n';) line += c;
  return line;
}

}  // namespace

Service::Service(const std::string& program, const TemporaryFolder& folder, const std::string& library,
                 const std::string& more) {
  const std::string config = folder.file("service.textproto");
  std::ofstream(config) << "library_folders: \"" << library << "\"\n"
                        << "metrics_address: \"127.0.0.1:0\"\n"
                        << more;
  const std::string log = folder.file("log");
  int pipe_ends[2];
  if (pipe2(pipe_ends, O_CLOEXEC) != 0) std::abort();
  const double start = now_ms();
  child_ = fork();
  if (child_ == 0) {
    const int to_log = open(log.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    dup2(pipe_ends[1], STDOUT_FILENO);
    dup2(to_log, STDERR_FILENO);
    execl(program.c_str(), program.c_str(), "serve", "--config", config.c_str(), nullptr);
    _exit(127);
  }
  close(pipe_ends[1]);
  // "ready: rpc ADDRESS, metrics ADDRESS"
  const std::string line = read_line(pipe_ends[0]), before = "ready: rpc ";
  start_ms_ = now_ms() - start;
  close(pipe_ends[0]);
  if (line.rfind(before, 0) == 0) {
    address_ = line.substr(before.size(), line.rfind(", metrics") - before.size());
    return;
  }
  std::printf("WRONG     %s did not start; it said:\n", program.c_str());
  std::printf("%s\n", std::string(std::istreambuf_iterator<char>(std::ifstream(log).rdbuf()), {}).c_str());
}

Service::~Service() {
  if (child_ <= 0) return;
  kill(child_, SIGTERM);
  waitpid(child_, nullptr, 0);
}

}  // namespace brakeward::benchmark
