// Results of one event build to a Pushgateway, for a check that runs where nothing scrapes it.
#pragma once

#include <string>

#include "absl/status/status.h"
#include "verdict/run.h"

namespace brakeward::metrics {

// Puts result_page(run) in the place of the group {job="brakeward", library, build} of the Pushgateway at
// `url`: http://host:port, with or without a slash at the end. Proxies are those of the environment
// (http_proxy, no_proxy). InvalidArgument for any other form of url and for a run that is no event build;
// Unavailable when nothing answers or the answer is not one of success: names url, code and remedy. A host
// that swallows packets is given up after the operating system's time for connecting.
absl::Status push_results(const std::string& url, const verdict::Run& run);

}  // namespace brakeward::metrics
