#include "rpc/address.h"

#include <arpa/inet.h>
#include <netdb.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstring>

namespace brakeward::rpc {
namespace {

constexpr const char* kForms = "; write host:port, [IPv6 address]:port or unix:<path>";

absl::Status bad(const std::string& text, const std::string& why) {
  return absl::InvalidArgumentError("address: \"" + text + "\" " + why + kForms);
}

bool is_port(const std::string& text) {
  int port = -1;
  const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), port);
  return error == std::errc() && stop == text.data() + text.size() && port >= 0 && port <= 65535;
}

class Socket {
 public:
  explicit Socket(int family) : fd_(::socket(family, SOCK_STREAM | SOCK_CLOEXEC, 0)) {}
  ~Socket() {
    if (fd_ >= 0) ::close(fd_);
  }
  Socket(const Socket&) = delete;
  Socket& operator=(const Socket&) = delete;
  int fd() const { return fd_; }

 private:
  int fd_;
};

std::string bind_fault(const addrinfo& where) {
  const Socket socket(where.ai_family);
  const int yes = 1;
  ::setsockopt(socket.fd(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  if (socket.fd() >= 0 && ::bind(socket.fd(), where.ai_addr, where.ai_addrlen) == 0 &&
      ::listen(socket.fd(), 1) == 0)
    return "";
  return std::strerror(errno);
}

}  // namespace

bool ListenAddress::is_local() const {
  if (!socket.empty() || host == "localhost") return true;
  in_addr v4{};
  if (::inet_pton(AF_INET, host.c_str(), &v4) == 1) return (ntohl(v4.s_addr) >> 24) == 127;
  in6_addr v6{};
  return ::inet_pton(AF_INET6, host.c_str(), &v6) == 1 && IN6_IS_ADDR_LOOPBACK(&v6);
}

std::string ListenAddress::text(int real_port) const {
  if (!socket.empty()) return "unix:" + socket;
  const bool brackets = host.find(':') != std::string::npos;
  return (brackets ? "[" + host + "]" : host) + ":" + std::to_string(real_port);
}

absl::Status parse_listen_address(const std::string& text, ListenAddress* address) {
  if (text.compare(0, 5, "unix:") == 0) {
    address->socket = text.substr(5);
    if (address->socket.empty()) return bad(text, "names no path");
    if (address->socket.size() >= sizeof(sockaddr_un::sun_path))
      return bad(text, "has a path of " + std::to_string(address->socket.size()) +
                           " bytes, a socket's may have " +
                           std::to_string(sizeof(sockaddr_un::sun_path) - 1));
    return absl::OkStatus();
  }
  const size_t colon = text.rfind(':');
  if (colon == std::string::npos || colon == 0) return bad(text, "has no host or no port");
  address->host = text.substr(0, colon);
  address->port = text.substr(colon + 1);
  if (!is_port(address->port)) return bad(text, "has no port from 0 to 65535");
  std::string& host = address->host;
  const bool brackets = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (brackets) host = host.substr(1, host.size() - 2);
  if (host.find_first_of("[]/ ") != std::string::npos || (!brackets && host.find(':') != std::string::npos))
    return bad(text, "is no address");
  return absl::OkStatus();
}

absl::Status check_socket(const ListenAddress& address) {
  const std::string& path = address.socket;
  struct stat status {};
  if (path.empty() || ::lstat(path.c_str(), &status) != 0) return absl::OkStatus();
  if (!S_ISSOCK(status.st_mode))
    return absl::UnavailableError("address: at unix:" + path +
                                  " lies a file that is no socket; take another path");
  sockaddr_un name{};
  name.sun_family = AF_UNIX;
  std::memcpy(name.sun_path, path.data(), path.size());
  const Socket socket(AF_UNIX);
  if (::connect(socket.fd(), reinterpret_cast<const sockaddr*>(&name), sizeof name) != 0 &&
      errno == ECONNREFUSED)
    return absl::OkStatus();
  return absl::UnavailableError("address: another program listens at unix:" + path +
                                "; stop it or take another path");
}

std::string listen_fault(const ListenAddress& address) {
  if (!address.socket.empty()) {
    const std::string folder = address.socket.substr(0, address.socket.rfind('/') + 1);
    return ::access(folder.empty() ? "." : folder.c_str(), W_OK | X_OK) == 0 ? "" : std::strerror(errno);
  }
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  hints.ai_flags = AI_PASSIVE | AI_NUMERICSERV;
  addrinfo* found = nullptr;
  if (const int error = ::getaddrinfo(address.host.c_str(), address.port.c_str(), &hints, &found); error != 0)
    return ::gai_strerror(error);
  std::string fault;
  for (const addrinfo* a = found; a && fault.empty(); a = a->ai_next) fault = bind_fault(*a);
  ::freeaddrinfo(found);
  return fault;
}

}  // namespace brakeward::rpc
