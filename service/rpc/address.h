// Addresses to listen on.
#pragma once

#include <string>

#include "absl/status/status.h"

namespace brakeward::rpc {

// host:port, [IPv6]:port or unix:path taken apart.
struct ListenAddress {
  std::string host;    // without brackets; empty for a socket
  std::string port;    // digits
  std::string socket;  // path of a unix socket; empty for a port

  // Only this machine reaches it: a socket, localhost, 127.0.0.0/8, ::1.
  bool is_local() const;
  // As gRPC wants it, with this port.
  std::string text(int real_port) const;
};

// InvalidArgument says which forms there are.
absl::Status parse_listen_address(const std::string& text, ListenAddress* address);

// Unavailable when somebody listens at the socket, or something else than a socket lies there. A socket that
// nobody listens at any more is left for the server to replace.
absl::Status check_socket(const ListenAddress& address);

// Why this machine does not let the address be listened at: "Address already in use"; empty when it does.
std::string listen_fault(const ListenAddress& address);

}  // namespace brakeward::rpc
