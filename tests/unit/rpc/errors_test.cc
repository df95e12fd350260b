// Refusals as they go on the wire, within what a caller takes. AIP-193 is the model of the details.
#include "rpc/errors.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"

namespace brakeward::rpc {
namespace {

std::vector<Violation> many(int count) {
  std::vector<Violation> violations;
  for (int i = 0; i < count; ++i)
    violations.push_back(
        {"calibration.values[" + std::to_string(i) + "]", "is above 20 mm; take 0 to 20 mm"});
  return violations;
}

google::rpc::BadRequest bad_request(const std::string& details) {
  google::rpc::Status wire;
  EXPECT_TRUE(wire.ParseFromString(details));
  google::rpc::BadRequest bad;
  for (const auto& any : wire.details()) any.UnpackTo(&bad);
  return bad;
}

TEST(Details, HoldEveryViolationWhenTheyFit) {
  std::string message;
  const auto bad = bad_request(details_of(invalid(many(10)), kUsualDetails, &message));
  EXPECT_EQ(bad.field_violations_size(), 10);
  EXPECT_EQ(std::count(message.begin(), message.end(), '\n'), 10) << message;
}

TEST(Details, StayWithinWhatTheCallerTakesAndCountWhatIsLeftOut) {
  for (size_t most : {size_t{2048}, kUsualDetails, size_t{20000}}) {
    std::string message;
    const std::string details = details_of(invalid(many(5000)), most, &message);
    // The details travel in base64.
    EXPECT_LE(message.size() + details.size() * 4 / 3, most);
    const auto bad = bad_request(details);
    const int told = bad.field_violations_size() - 1;
    EXPECT_GT(told, 0);
    EXPECT_NE(bad.field_violations(told).description().find(std::to_string(5000 - told)), std::string::npos);
    EXPECT_NE(message.find("more are left out"), std::string::npos);
  }
  std::string message;
  EXPECT_EQ(bad_request(details_of(invalid(many(1000)), kMostDetails, &message)).field_violations_size(),
            1000);
}

TEST(Details, OfAStatusWithoutAReasonNameItsCode) {
  std::string message;
  google::rpc::Status wire;
  ASSERT_TRUE(wire.ParseFromString(details_of(absl::DataLossError("torn"), kUsualDetails, &message)));
  google::rpc::ErrorInfo info;
  ASSERT_EQ(wire.details_size(), 1);
  ASSERT_TRUE(wire.details(0).UnpackTo(&info));
  EXPECT_EQ(info.reason(), "DATA_LOSS");
  EXPECT_EQ(info.domain(), "brakeward");
  EXPECT_EQ(message, "torn");
}

TEST(Details, CutALongSentenceBetweenCharacters) {
  std::string sentence;
  while (sentence.size() < 10000) sentence += "\xC3\xA4";  // U+00E4
  std::string message;
  const std::string details = details_of(absl::InternalError(sentence), kUsualDetails, &message);
  EXPECT_LE(message.size() + details.size() * 4 / 3, kUsualDetails);
  EXPECT_EQ((message.size() - 3) % 2, 0u);
}

TEST(Refusals, TellWhatIsNear) {
  const absl::Status status = not_found("SCENARIO_NOT_FOUND", "scenario", "stp", {"step", "ramp"});
  EXPECT_EQ(status.code(), absl::StatusCode::kNotFound);
  EXPECT_NE(status.message().find("step, ramp"), std::string::npos) << status;
  EXPECT_NE(status.message().find("nearest is step"), std::string::npos) << status;
}

TEST(Refusals, NamingMuchStayWithinWhatTheCallerTakes) {
  const std::vector<std::string> names(50, std::string(300, 'x'));
  std::string message;
  const std::string details = details_of(
      not_found("SCENARIO_NOT_FOUND", "scenario", std::string(5000, 'y'), names), kUsualDetails, &message);
  EXPECT_LE(message.size() + details.size() * 4 / 3, kUsualDetails);
  EXPECT_NE(details.find("and 47 more"), std::string::npos);
}

TEST(Refusals, SayWhenToComeBack) {
  std::string message;
  google::rpc::Status wire;
  ASSERT_TRUE(wire.ParseFromString(details_of(draining(2.25), kUsualDetails, &message)));
  google::rpc::RetryInfo retry;
  ASSERT_TRUE(wire.details(1).UnpackTo(&retry));
  EXPECT_EQ(retry.retry_delay().seconds(), 2);
  EXPECT_EQ(retry.retry_delay().nanos(), 250000000);
}

}  // namespace
}  // namespace brakeward::rpc
