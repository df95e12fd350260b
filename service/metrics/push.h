// Results of one event build to a Pushgateway, for a check that runs where nothing scrapes it.
#pragma once

#include <chrono>
#include <string>

#include "absl/status/status.h"
#include "verdict/run.h"

namespace brakeward::metrics {

// Puts result_page(run) in the place of the group {job="brakeward", library, build} of the Pushgateway at
// `url`: http://host:port, with or without a slash at the end. Proxies are those of the environment
// (http_proxy, no_proxy). InvalidArgument for any other form of url and for a run that is no event build;
// Unavailable when no answer came within `patience` or it was not one of success: names url, cause and
// remedy.
absl::Status push_results(const std::string& url, const verdict::Run& run,
                          std::chrono::milliseconds patience = std::chrono::seconds(30));

}  // namespace brakeward::metrics
