#include "rpc/status.h"

#include <algorithm>
#include <charconv>

#include "absl/strings/strip.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "rpc/errors.h"

namespace brakeward::rpc {
namespace {

size_t details_bytes(const grpc::ServerContextBase& context) {
  const auto& headers = context.client_metadata();
  const auto it = headers.find(kDetailsHeader);
  if (it == headers.end()) return kUsualDetails;
  size_t asked = 0;
  const char* end = it->second.data() + it->second.size();
  const auto [stop, error] = std::from_chars(it->second.data(), end, asked);
  if (error != std::errc() || stop != end) return kUsualDetails;
  return std::clamp(asked, size_t{2048}, kMostDetails);
}

}  // namespace

grpc::Status to_wire(const absl::Status& status, const grpc::ServerContextBase& context) {
  if (status.ok()) return grpc::Status::OK;
  std::string message;
  const std::string details = details_of(status, details_bytes(context), &message);
  return grpc::Status(static_cast<grpc::StatusCode>(status.code()), message, details);
}

absl::Status from_wire(const grpc::Status& status) {
  if (status.ok()) return absl::OkStatus();
  const auto code = static_cast<absl::StatusCode>(status.error_code());
  google::rpc::Status wire;
  if (status.error_details().empty() || !wire.ParseFromString(status.error_details()))
    return absl::Status(code, status.error_message());
  std::string lines;
  for (const auto& detail : wire.details()) {
    google::rpc::BadRequest bad;
    if (!detail.UnpackTo(&bad)) continue;
    for (const auto& v : bad.field_violations())
      lines += (v.field().empty() ? "" : v.field() + ": ") + v.description() + "\n";
  }
  return absl::Status(code, lines.empty() ? wire.message() : std::string(absl::StripSuffix(lines, "\n")));
}

}  // namespace brakeward::rpc
