#include "metrics/push.h"

#include <curl/curl.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <string_view>

#include "absl/strings/escaping.h"
#include "document/text.h"
#include "metrics/result_metrics.h"
#include "metrics/text.h"
#include "verdict/concat.h"

namespace brakeward::metrics {
namespace {

using verdict::concat;

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

// The url without a slash at its end, or nothing.
std::optional<std::string> address_of(std::string_view url) {
  constexpr std::string_view kScheme = "http://";
  if (!url.starts_with(kScheme)) return std::nullopt;
  if (url.ends_with('/')) url.remove_suffix(1);
  if (url.size() < kScheme.size()) return std::nullopt;
  const std::string_view rest = url.substr(kScheme.size());
  const size_t colon = rest.rfind(':');
  if (colon == rest.npos || !is_host(rest.substr(0, colon)) || !is_port(rest.substr(colon + 1))) {
    return std::nullopt;
  }
  return std::string(url);
}

// "/label@base64/value" of a grouping key: the one form in which any text is safe in a path.
std::string grouping(std::string_view label, std::string_view value) {
  const std::string clean = document::clean(value);
  return concat("/", label, "@base64/", absl::WebSafeBase64Escape({clean.data(), clean.size()}));
}

constexpr size_t kMostOfAnswer = 300;  // bytes of an answer that go into a message

size_t keep_answer(char* data, size_t, size_t size, void* to) {
  auto& answer = *static_cast<std::string*>(to);
  answer.append(data, std::min(size, kMostOfAnswer - answer.size()));
  return size;
}

absl::Status unavailable(const std::string& url, std::string_view cause, std::string_view remedy) {
  return absl::UnavailableError(concat("cannot push results to ", url, ": ", cause, "; ", remedy));
}

absl::Status status_of(long code, const std::string& answer, const std::string& url) {
  if (code >= 200 && code < 300) return absl::OkStatus();
  std::string cause = concat("answered with HTTP status ", code);
  if (!answer.empty()) verdict::append(cause, " (", document::clean(answer), ")");
  return unavailable(url, cause, "check that the address is that of a Pushgateway, and its log");
}

// PUT of the text. Not prometheus::Gateway: that prints a refusal's text on standard output, waits without
// end, and writes grouping keys into the path as they are.
absl::Status put(const std::string& url, const std::string& path, const std::string& text,
                 std::chrono::milliseconds patience) {
  const std::unique_ptr<CURL, void (*)(CURL*)> curl(curl_easy_init(), curl_easy_cleanup);
  const std::unique_ptr<curl_slist, void (*)(curl_slist*)> headers(
      curl_slist_append(nullptr, "Content-Type: text/plain; version=0.0.4; charset=utf-8"),
      curl_slist_free_all);
  if (!curl || !headers) return unavailable(url, "libcurl does not start", "free some memory and try again");
  std::string answer;
  const std::string target = url + path;
  curl_easy_setopt(curl.get(), CURLOPT_URL, target.c_str());
  curl_easy_setopt(curl.get(), CURLOPT_CUSTOMREQUEST, "PUT");
  curl_easy_setopt(curl.get(), CURLOPT_POSTFIELDS, text.data());
  curl_easy_setopt(curl.get(), CURLOPT_POSTFIELDSIZE_LARGE, static_cast<curl_off_t>(text.size()));
  curl_easy_setopt(curl.get(), CURLOPT_HTTPHEADER, headers.get());
  curl_easy_setopt(curl.get(), CURLOPT_TIMEOUT_MS, static_cast<long>(patience.count()));
  curl_easy_setopt(curl.get(), CURLOPT_NOSIGNAL, 1L);
  curl_easy_setopt(curl.get(), CURLOPT_WRITEFUNCTION, keep_answer);
  curl_easy_setopt(curl.get(), CURLOPT_WRITEDATA, &answer);
  if (const CURLcode failed = curl_easy_perform(curl.get()); failed != CURLE_OK) {
    return unavailable(url, concat("no answer (", curl_easy_strerror(failed), ")"),
                       "check that a Pushgateway listens there");
  }
  long code = 0;
  curl_easy_getinfo(curl.get(), CURLINFO_RESPONSE_CODE, &code);
  return status_of(code, answer, url);
}

}  // namespace

absl::Status push_results(const std::string& url, const verdict::Run& run,
                          std::chrono::milliseconds patience) {
  const std::optional<std::string> address = address_of(url);
  if (!address) {
    return absl::InvalidArgumentError(
        concat("\"", document::clean(url), "\" is no address of a Pushgateway; give http://host:port"));
  }
  const absl::StatusOr<std::string> text = result_page(run);
  if (!text.ok()) return text.status();
  const std::string path = concat("/metrics/job/brakeward", grouping("library", run.library_name),
                                  grouping("build", run.event_build));
  return put(*address, path, *text, patience);
}

}  // namespace brakeward::metrics
