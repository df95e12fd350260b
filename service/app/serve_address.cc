#include <arpa/inet.h>

#include <charconv>

#include "app/serve_config.h"
#include "report/text.h"
#include "verdict/concat.h"

namespace brakeward::app {
namespace {

constexpr std::string_view kUnix = "unix:";
constexpr std::string_view kForms = "give host:port, for example 127.0.0.1:8640, or unix:<path>";

absl::Status wrong(std::string_view text, std::string_view why) {
  return absl::InvalidArgumentError(verdict::concat("\"", report::clean(text), "\" ", why, "; ", kForms));
}

absl::StatusOr<Address> parse_socket(std::string_view text) {
  Address out;
  out.socket = std::string(text.substr(kUnix.size()));
  if (out.socket.empty()) return wrong(text, "names no path");
  return out;
}

bool is_host_name(std::string_view host) {
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '.';
  };
  for (const char c : host)
    if (!fits(c)) return false;
  return !host.empty();
}

bool is_port(std::string_view text, int& port) {
  if (text.empty() || text.find_first_not_of("0123456789") != std::string_view::npos) return false;
  return std::from_chars(text.data(), text.data() + text.size(), port).ec == std::errc() && port <= 65535;
}

}  // namespace

std::string Address::text() const {
  if (!socket.empty()) return verdict::concat(kUnix, socket.string());
  const bool v6 = host.find(':') != std::string::npos;
  return verdict::concat(v6 ? "[" : "", host, v6 ? "]" : "", ":", port);
}

bool Address::is_local() const {
  if (!socket.empty() || host == "localhost") return true;
  in_addr v4{};
  if (inet_pton(AF_INET, host.c_str(), &v4) == 1) return ntohl(v4.s_addr) >> 24 == 127;
  in6_addr v6{};
  return inet_pton(AF_INET6, host.c_str(), &v6) == 1 && IN6_IS_ADDR_LOOPBACK(&v6);
}

absl::StatusOr<Address> parse_address(std::string_view text) {
  if (text.starts_with(kUnix)) return parse_socket(text);
  const size_t colon = text.rfind(':');
  if (colon == std::string_view::npos) return wrong(text, "has no port");
  std::string_view host = text.substr(0, colon);
  const std::string_view port = text.substr(colon + 1);
  Address out;
  if (!is_port(port, out.port)) return wrong(text, "has no port from 0 to 65535 after its last colon");
  if (host.starts_with('[') && host.ends_with(']')) {
    out.host = std::string(host.substr(1, host.size() - 2));
    in6_addr ignored{};
    if (inet_pton(AF_INET6, out.host.c_str(), &ignored) != 1) return wrong(text, "holds no IPv6 address");
    return out;
  }
  if (host.find(':') != std::string_view::npos)
    return wrong(text, "looks like an IPv6 address, which stands in brackets, [::1]:8640");
  if (!is_host_name(host)) return wrong(text, "has no host name or address before its port");
  out.host = std::string(host);
  return out;
}

}  // namespace brakeward::app
