#include "document/print.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "brakeward/v1/calibration.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

TEST(Print, ShortestNumbersUtf8AndHeader) {
  v1::BalanceStep step;
  step.set_name("+2 \xCE\x94 \"wet\"");
  step.set_front_percent(0.1);
  EXPECT_EQ(to_text(step),
            "# proto-file: brakeward/v1/pressure_control.proto\n# proto-message: brakeward.v1.BalanceStep\n\n"
            "name: \"+2 \xCE\x94 \\\"wet\\\"\"\nfront_percent: 0.1\n");
  step.set_front_percent(0.1 + 0.2);
  EXPECT_THAT(to_text(step), testing::HasSubstr("front_percent: 0.30000000000000004\n"));
}

TEST(Print, BothFormsReadBackTheSame) {
  for (const auto* type : document_types()) {
    const auto message = new_message(type);
    fill(message.get());
    const std::string hash = *content_sha256(*message);
    const auto again = new_message(type);
    ASSERT_EQ(parse(to_text(*message), "a.textproto", again.get()).render(), "") << type->name();
    EXPECT_EQ(*content_sha256(*again), hash) << type->name();
    ASSERT_EQ(parse(*to_json(*message), "a.json", again.get()).render(), "") << type->name();
    EXPECT_EQ(*content_sha256(*again), hash) << type->name();
  }
}

// Doubles that need all their digits.
TEST(Print, HardNumbersReadBackTheSame) {
  for (const double value : {0.1, 1.0 / 3, 2.2250738585072014e-308, 5e-324, 1.7976931348623157e308,
                             9007199254740993.0, 123456.789e3, -0.0}) {
    v1::BalanceStep step;
    step.set_front_percent(value);
    v1::BalanceStep again;
    parse(to_text(step), "a.textproto", &again);
    EXPECT_EQ(again.front_percent(), value);
    parse(*to_json(step), "a.json", &again);
    EXPECT_EQ(again.front_percent(), value);
  }
}

}  // namespace
}  // namespace brakeward::document
