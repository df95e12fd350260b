#include "rpc/address.h"

#include <arpa/inet.h>
#include <netdb.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstring>

#include "document/text.h"
#include "verdict/concat.h"

namespace brakeward::rpc {
namespace {

constexpr std::string_view kUnix = "unix:";
constexpr size_t kLongestSocket = sizeof(sockaddr_un{}.sun_path) - 1;

absl::Status wrong(std::string_view text, std::string_view why) {
  return absl::InvalidArgumentError(
      verdict::concat("\"", document::clean(text), "\" ", why,
                      "; give host:port, for example 127.0.0.1:8640, [IPv6 address]:port or unix:<path>"));
}

absl::StatusOr<Address> parse_socket(std::string_view text) {
  Address out;
  out.socket = std::string(text.substr(kUnix.size()));
  if (out.socket.empty()) return wrong(text, "names no path");
  if (out.socket.size() > kLongestSocket)
    return wrong(text, verdict::concat("has a path of ", out.socket.size(), " bytes, a socket's may have ",
                                       kLongestSocket));
  return out;
}

bool is_host_name(std::string_view host) {
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '.' || c == '_';
  };
  return !host.empty() && std::all_of(host.begin(), host.end(), fits);
}

// With or without a zone, "fe80::1%eth0" (RFC 4007, section 11).
bool is_v6(const std::string& host) {
  in6_addr ignored{};
  return ::inet_pton(AF_INET6, host.substr(0, host.find('%')).c_str(), &ignored) == 1;
}

bool is_port(std::string_view text, int& port) {
  if (text.empty() || text.find_first_not_of("0123456789") != std::string_view::npos) return false;
  return std::from_chars(text.data(), text.data() + text.size(), port).ec == std::errc() && port <= 65535;
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

std::string Address::text() const {
  if (!socket.empty()) return verdict::concat(kUnix, socket);
  const bool v6 = host.find(':') != std::string::npos;
  return verdict::concat(v6 ? "[" : "", host, v6 ? "]" : "", ":", port);
}

bool Address::is_local() const {
  if (!socket.empty() || host == "localhost") return true;
  in_addr v4{};
  if (::inet_pton(AF_INET, host.c_str(), &v4) == 1) return ntohl(v4.s_addr) >> 24 == 127;
  in6_addr v6{};
  return ::inet_pton(AF_INET6, host.c_str(), &v6) == 1 && IN6_IS_ADDR_LOOPBACK(&v6);
}

absl::StatusOr<Address> parse_address(std::string_view text) {
  if (text.starts_with(kUnix)) return parse_socket(text);
  const size_t colon = text.rfind(':');
  if (colon == std::string_view::npos) return wrong(text, "has no port");
  const std::string_view host = text.substr(0, colon);
  Address out;
  if (!is_port(text.substr(colon + 1), out.port))
    return wrong(text, "has no port from 0 to 65535 after its last colon");
  if (host.starts_with('[') && host.ends_with(']')) {
    out.host = std::string(host.substr(1, host.size() - 2));
    if (is_v6(out.host)) return out;
    return wrong(text, "holds no IPv6 address");
  }
  if (host.find(':') != std::string_view::npos)
    return wrong(text, "looks like an IPv6 address, which stands in brackets, [::1]:8640");
  if (!is_host_name(host)) return wrong(text, "has no host name or address before its port");
  out.host = std::string(host);
  return out;
}

std::string plaintext_fault(const Address& address) {
  if (address.is_local()) return "";
  return address.text() +
         " can be reached from other machines, and there is no TLS; give tls, listen on 127.0.0.1 or a unix "
         "socket, or set plaintext_beyond_loopback on a network you trust";
}

absl::Status check_socket(const Address& address) {
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

std::string listen_fault(const Address& address) {
  if (!address.socket.empty()) {
    const std::string folder = address.socket.substr(0, address.socket.rfind('/') + 1);
    return ::access(folder.empty() ? "." : folder.c_str(), W_OK | X_OK) == 0 ? "" : std::strerror(errno);
  }
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  hints.ai_flags = AI_PASSIVE | AI_NUMERICSERV;
  addrinfo* found = nullptr;
  if (const int error =
          ::getaddrinfo(address.host.c_str(), std::to_string(address.port).c_str(), &hints, &found);
      error != 0)
    return ::gai_strerror(error);
  std::string fault;
  for (const addrinfo* a = found; a && fault.empty(); a = a->ai_next) fault = bind_fault(*a);
  ::freeaddrinfo(found);
  return fault;
}

}  // namespace brakeward::rpc
