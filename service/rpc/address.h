// Addresses to listen at and to call.
#pragma once

#include <string>
#include <string_view>

#include "absl/status/statusor.h"

namespace brakeward::rpc {

// A host and port, or a unix socket.
struct Address {
  std::string host;    // name, IPv4 or IPv6 address (without brackets); empty for a socket
  int port = 0;        // to listen at: 0 for any free one
  std::string socket;  // path

  // "127.0.0.1:8640", "[::1]:8640", "unix:/run/brakeward.sock".
  std::string text() const;
  // Only this machine reaches it: a socket, localhost, 127.0.0.0/8, ::1.
  bool is_local() const;
};

// From host:port, [IPv6]:port or unix:path. InvalidArgument says what is wrong and which forms there are.
absl::StatusOr<Address> parse_address(std::string_view text);

// Why calls should not be taken there without TLS, and the ways out: other machines reach it. Empty when only
// this one does.
std::string plaintext_fault(const Address& address);

// Unavailable when somebody listens at the socket, or something else than a socket lies there. A socket that
// nobody listens at any more is left for the server to replace.
absl::Status check_socket(const Address& address);

// Why this machine does not let the address be listened at: "Address already in use"; empty when it does.
std::string listen_fault(const Address& address);

}  // namespace brakeward::rpc
