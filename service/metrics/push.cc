#include "metrics/push.h"

#include <prometheus/collectable.h>
#include <prometheus/gateway.h>

#include <exception>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "absl/strings/escaping.h"
#include "metrics/event_build.h"
#include "metrics/text.h"
#include "verdict/concat.h"

namespace brakeward::metrics {
namespace {

using verdict::concat;

class Fixed : public prometheus::Collectable {
 public:
  explicit Fixed(std::vector<prometheus::MetricFamily> families) : families_(std::move(families)) {}
  std::vector<prometheus::MetricFamily> Collect() const override { return families_; }

 private:
  std::vector<prometheus::MetricFamily> families_;
};

struct Address {
  std::string host;  // with http://
  std::string port;
};

bool is_port(std::string_view text) {
  if (text.empty() || text.size() > 5 || text.find_first_not_of("0123456789") != text.npos) return false;
  const int port = std::stoi(std::string(text));
  return port >= 1 && port <= 65535;
}

// Names, IPv4 addresses, IPv6 addresses in brackets.
bool is_host(std::string_view text) {
  constexpr std::string_view kName = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-_";
  if (text.size() > 2 && text.front() == '[' && text.back() == ']') {
    return text.substr(1, text.size() - 2).find_first_not_of("0123456789abcdefABCDEF:.") == text.npos;
  }
  return !text.empty() && text.find_first_not_of(kName) == text.npos;
}

std::optional<Address> parse(std::string_view url) {
  constexpr std::string_view kScheme = "http://";
  if (!url.starts_with(kScheme)) return std::nullopt;
  if (url.ends_with('/')) url.remove_suffix(1);
  if (url.size() < kScheme.size()) return std::nullopt;
  const std::string_view rest = url.substr(kScheme.size());
  const size_t colon = rest.rfind(':');
  if (colon == rest.npos || !is_host(rest.substr(0, colon)) || !is_port(rest.substr(colon + 1))) {
    return std::nullopt;
  }
  return Address{concat(kScheme, rest.substr(0, colon)), std::string(rest.substr(colon + 1))};
}

// The library writes grouping keys into the path as they are; in this form any text is safe there.
std::pair<const std::string, std::string> grouping(std::string_view label, std::string_view value) {
  const std::string clean = clean_label(value);
  return {concat(label, "@base64"), absl::WebSafeBase64Escape({clean.data(), clean.size()})};
}

absl::Status status_of(int code, const std::string& url) {
  if (code >= 200 && code < 300) return absl::OkStatus();
  if (code < 0) {
    return absl::UnavailableError(concat("cannot push results to ", url, ": no answer (transport error ",
                                         -code, " of libcurl); check that a Pushgateway listens there"));
  }
  return absl::UnavailableError(concat("cannot push results to ", url, ": answered with HTTP status ", code,
                                       "; check that the address is that of a Pushgateway, and its log"));
}

}  // namespace

absl::Status push_results(const std::string& url, const verdict::Run& run) {
  const std::optional<Address> address = parse(url);
  if (!address) {
    return absl::InvalidArgumentError(
        concat("\"", clean_label(url), "\" is no address of a Pushgateway; give http://host:port"));
  }
  if (absl::Status status = check_event_build(run); !status.ok()) return status;
  try {
    prometheus::Gateway gateway(address->host, address->port, "brakeward",
                                {grouping("build", run.event_build), grouping("library", run.library_name)});
    const auto results = std::make_shared<Fixed>(families_of_run(run));
    gateway.RegisterCollectable(results);
    return status_of(gateway.Push(), url);
  } catch (const std::exception& e) {
    return absl::UnavailableError(concat("cannot push results to ", url, ": ", e.what(), "; try again"));
  }
}

}  // namespace brakeward::metrics
