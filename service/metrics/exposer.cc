#include "metrics/exposer.h"

#include <arpa/inet.h>
#include <prometheus/exposer.h>

#include <exception>
#include <utility>

#include "document/text.h"
#include "metrics/text.h"
#include "verdict/concat.h"

namespace brakeward::metrics {
namespace {

using verdict::concat;

// The server takes a list of addresses with options after each port; only plain addresses go in.
absl::StatusOr<std::string> address_of(const std::string& host, int port) {
  if (port < 0 || port > 65535) {
    return absl::InvalidArgumentError(
        concat("metrics port ", port, " cannot be; choose one of 1 to 65535, or 0 for any free one"));
  }
  unsigned char binary[sizeof(in6_addr)];
  if (host == "localhost") return concat("127.0.0.1:", port);
  if (inet_pton(AF_INET, host.c_str(), binary) == 1) return concat(host, ":", port);
  if (inet_pton(AF_INET6, host.c_str(), binary) == 1) return concat("[", host, "]:", port);
  return absl::InvalidArgumentError(concat(
      "metrics host \"", document::clean(host),
      "\" is no address; give localhost, an IPv4 address such as 127.0.0.1 or an IPv6 address such as ::1"));
}

}  // namespace

Page::Page() = default;
Page::~Page() = default;

absl::StatusOr<std::unique_ptr<Page>> Page::serve(
    const std::string& host, int port, std::vector<std::shared_ptr<prometheus::Collectable>> sources) {
  const absl::StatusOr<std::string> address = address_of(host, port);
  if (!address.ok()) return address.status();
  std::unique_ptr<Page> page(new Page);
  page->sources_ = std::move(sources);
  try {
    page->exposer_ = std::make_unique<prometheus::Exposer>(*address);
    for (const auto& source : page->sources_) page->exposer_->RegisterCollectable(source);
    page->port_ = page->exposer_->GetListeningPorts().at(0);
  } catch (const std::exception& e) {
    return absl::UnavailableError(concat(
        "cannot serve metrics at ", *address, " (", e.what(),
        "): the port is taken or not allowed, or the address is not one of this machine; choose another "
        "port, or 0 for any free one"));
  }
  return page;
}

int Page::port() const {
  return port_;
}

}  // namespace brakeward::metrics
