// Addresses from text and back.
#include "rpc/address.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace brakeward::rpc {
namespace {

using testing::HasSubstr;

TEST(ParseAddress, TakesThreeForms) {
  for (const char* text : {"127.0.0.1:8640", "[::1]:0", "[fe80::1%eth0]:1", "localhost:65535",
                           "unix:/run/x.sock", "a-b.example:1", "brake_checks:8640"}) {
    const auto address = parse_address(text);
    ASSERT_TRUE(address.ok()) << address.status();
    EXPECT_EQ(address->text(), text);
  }
}

TEST(ParseAddress, SaysWhatIsWrong) {
  for (const char* text :
       {"", "127.0.0.1", ":8640", "127.0.0.1:", "127.0.0.1:65536", "127.0.0.1:-1", "a:b", "::1:8640", "[::1]",
        "[1.2.3.4]:1", "[%eth0]:1", "[::1]x:1", "a b:1", "unix:", "http://a:1"}) {
    const auto address = parse_address(text);
    ASSERT_FALSE(address.ok()) << text;
    EXPECT_EQ(address.status().code(), absl::StatusCode::kInvalidArgument);
    EXPECT_THAT(std::string(address.status().message()), HasSubstr("give host:port")) << text;
  }
}

TEST(ParseAddress, ASocketsPathHasALength) {
  // Linux unix(7): sun_path has 108 bytes, with the zero at its end.
  EXPECT_TRUE(parse_address("unix:" + std::string(107, 's')).ok());
  EXPECT_THAT(std::string(parse_address("unix:" + std::string(108, 's')).status().message()),
              HasSubstr("108 bytes, a socket's may have 107"));
}

TEST(Address, KnowsWhoReachesIt) {
  for (const char* local : {"127.0.0.1:0", "127.9.9.9:1", "[::1]:0", "localhost:0", "unix:s"}) {
    EXPECT_TRUE(parse_address(local)->is_local()) << local;
    EXPECT_EQ(plaintext_fault(*parse_address(local)), "") << local;
  }
  for (const char* open : {"0.0.0.0:0", "[::]:0", "192.0.2.1:1", "brakes.example:8640", "128.0.0.1:1"}) {
    EXPECT_FALSE(parse_address(open)->is_local()) << open;
    EXPECT_THAT(plaintext_fault(*parse_address(open)),
                testing::AllOf(testing::StartsWith(open), HasSubstr("plaintext_beyond_loopback")));
  }
}

}  // namespace
}  // namespace brakeward::rpc
