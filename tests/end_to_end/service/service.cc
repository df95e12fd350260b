#include "end_to_end/service/service.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <csignal>
#include <limits>
#include <sstream>
#include <thread>

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

// Text that a connection to a loopback port brings until it ends.
std::string fetch(const std::string& address, const std::string& request) {
  const int port = std::stoi(address.substr(address.rfind(':') + 1));
  const int connection = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_port = htons(static_cast<std::uint16_t>(port));
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  std::string out;
  if (::connect(connection, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0 &&
      ::send(connection, request.data(), request.size(), MSG_NOSIGNAL) ==
          static_cast<ssize_t>(request.size())) {
    char piece[65536];
    for (ssize_t n; (n = ::read(connection, piece, sizeof piece)) > 0;)
      out.append(piece, static_cast<size_t>(n));
  }
  ::close(connection);
  return out;
}

}  // namespace

bool poll_until(const std::function<bool()>& is_true, std::chrono::seconds deadline) {
  const auto end = std::chrono::steady_clock::now() + deadline;
  while (!is_true()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  return true;
}

std::string write_config(const fs::path& folder, const std::string& config) {
  std::string text = config;
  const auto add = [&](const std::string& field, const std::string& line) {
    if (("\n" + config).find("\n" + field) == std::string::npos) text += "\n" + line;
  };
  add("address:", "address: \"127.0.0.1:0\"");
  add("metrics_address:", "metrics_address: \"127.0.0.1:0\"");
  const std::string file = folder / "service.textproto";
  write_file(file, text + "\n");
  return file;
}

Service::Service(const fs::path& folder, const std::string& config, const std::vector<std::string>& before)
    : log_file_(folder / "service.log") {
  std::vector<std::string> command = before;
  command.insert(command.end(), {BRAKEWARD_PROGRAM, "serve", "--config", write_config(folder, config)});
  std::vector<char*> arguments;
  for (std::string& a : command) arguments.push_back(a.data());
  arguments.push_back(nullptr);
  int pipe[2];
  EXPECT_EQ(::pipe2(pipe, O_CLOEXEC), 0);
  const int log = ::open(log_file_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_APPEND | O_CLOEXEC, 0666);
  child_ = ::fork();
  if (child_ == 0) {
    if (::dup2(pipe[1], 1) < 0 || ::dup2(log, 2) < 0) ::_exit(125);
    ::execvp(arguments[0], arguments.data());
    ::_exit(127);
  }
  ::close(log);
  ::close(pipe[1]);
  EXPECT_GT(child_, 0);
  read_ready_line(pipe[0]);
  ::close(pipe[0]);
}

void Service::read_ready_line(int pipe) {
  std::string line;
  pollfd waiting{pipe, POLLIN, 0};
  const auto end = std::chrono::steady_clock::now() + kDeadline;
  while (line.find('\n') == std::string::npos && std::chrono::steady_clock::now() < end) {
    if (::poll(&waiting, 1, 100) <= 0) continue;
    char piece[256];
    const ssize_t n = ::read(pipe, piece, sizeof piece);
    if (n <= 0) break;
    line.append(piece, static_cast<size_t>(n));
  }
  const std::string head = "ready: rpc ", middle = ", metrics ";
  const size_t at = line.find(middle);
  EXPECT_TRUE(line.starts_with(head) && at != std::string::npos) << line << "\n" << log();
  if (at == std::string::npos) return;
  rpc_ = line.substr(head.size(), at - head.size());
  metrics_ = line.substr(at + middle.size(), line.find('\n') - at - middle.size());
}

Service::~Service() {
  if (child_ <= 0) return;
  ::kill(child_, SIGKILL);
  ::waitpid(child_, nullptr, 0);
}

std::string Service::page() const {
  return fetch(metrics_, "GET /metrics HTTP/1.0\r\nConnection: close\r\n\r\n");
}

double Service::value(const std::string& series) const {
  std::istringstream lines(page());
  for (std::string line; std::getline(lines, line);)
    if (line.starts_with(series + " ")) return std::stod(line.substr(series.size() + 1));
  return std::numeric_limits<double>::quiet_NaN();
}

void Service::signal(int number) const {
  EXPECT_EQ(::kill(child_, number), 0);
}

Outcome Service::end() {
  Outcome out;
  int status = 0;
  const bool ended = poll_until([&] { return ::waitpid(child_, &status, WNOHANG) != 0; });
  EXPECT_TRUE(ended) << "the service goes on\n" << log();
  out.err = log();
  if (!ended) return out;
  child_ = -1;
  if (WIFEXITED(status)) out.exit_code = WEXITSTATUS(status);
  if (WIFSIGNALED(status)) out.signal = WTERMSIG(status);
  return out;
}

Outcome Service::stop() {
  signal(SIGTERM);
  return end();
}

Outcome Service::check(const std::string& library, const std::string& calibration,
                       std::vector<std::string> more) const {
  more.insert(more.begin(), {"check", "--server", rpc_, "--library", library, "--calibration", calibration});
  return run(more);
}

void make_slow_library(const fs::path& folder) {
  fs::copy(fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios/sorrel", folder, fs::copy_options::recursive);
  std::string step = read_file(folder / "scenarios/step_hand.textproto");
  const auto put = [](std::string text, const std::string& what, const std::string& instead) {
    const size_t at = text.find(what);
    EXPECT_NE(at, std::string::npos) << what;
    return at == std::string::npos ? text : text.replace(at, what.size(), instead);
  };
  step = put(step, "hold_s: 1.2", "hold_s: 400");
  step = put(step, "entry_point:", "longest_s: 7200\nentry_point:");
  std::string index =
      "name: \"slow\"\nprovenance: \"Invented for tests.\"\nvehicle_file: \"vehicle/sorrel.textproto\"\n"
      "tolerances_file: \"tolerances/sorrel.textproto\"\ncalibration_files: "
      "\"calibrations/released.textproto\"\n";
  for (int i = 0; i < 8; ++i) {
    const std::string name = "hold_" + std::to_string(i);
    write_file(folder / "scenarios" / (name + ".textproto"), put(step, "\"step_hand\"", "\"" + name + "\""));
    index += "scenario_files: \"scenarios/" + name + ".textproto\"\n";
  }
  write_file(folder / "library.textproto", index);
}

std::string demo_library() {
  return std::string(BRAKEWARD_SOURCE_DIR) + "/scenarios/sorrel";
}

std::string demo_calibration(const std::string& name) {
  return demo_library() + "/calibrations/" + name + ".textproto";
}

}  // namespace brakeward::end_to_end
