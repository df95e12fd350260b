// The server as such: addresses, TLS, health, reflection, counting, stopping.
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstdlib>
#include <thread>

#include "grpc/health/v1/health.grpc.pb.h"
#include "rpc/client.h"
#include "unit/rpc/calls.h"
#include "unit/rpc/served.h"

namespace brakeward::rpc {
namespace {

namespace fs = std::filesystem;
namespace health = grpc::health::v1;

absl::Status start_fault(Served& beside, const ServerOptions& options) {
  return Server::start(options, beside.desk(),
                       std::make_shared<metrics::ServiceMetrics>("test", 1, method_names()))
      .status();
}

grpc::Status list_libraries(const std::shared_ptr<grpc::Channel>& channel) {
  grpc::ClientContext context;
  v1::ListLibrariesResponse response;
  return v1::LibraryService::NewStub(channel)->ListLibraries(&context, {}, &response);
}

TEST(Address, TakenOrNotThisMachinesIsToldWithTheReason) {
  Served served;
  ServerOptions options;
  options.address = served.server().address();
  absl::Status status = start_fault(served, options);
  EXPECT_EQ(status.code(), absl::StatusCode::kUnavailable);
  EXPECT_NE(status.message().find(options.address), std::string::npos) << status;
  EXPECT_NE(status.message().find("in use"), std::string::npos) << status;
  options.address = "192.0.2.1:0";  // RFC 5737 documentation address: nobody's
  options.plaintext_beyond_loopback = true;
  status = start_fault(served, options);
  EXPECT_EQ(status.code(), absl::StatusCode::kUnavailable);
  EXPECT_NE(status.message().find("assign"), std::string::npos) << status;
}

TEST(Address, BeyondLoopbackWantsTlsOrAWord) {
  Served served;
  for (const char* address : {"0.0.0.0:0", "[::]:0", "192.0.2.1:0", "example.invalid:0"}) {
    ServerOptions options;
    options.address = address;
    const absl::Status status = start_fault(served, options);
    EXPECT_EQ(status.code(), absl::StatusCode::kFailedPrecondition) << address << " " << status;
    EXPECT_NE(status.message().find("plaintext_beyond_loopback"), std::string::npos) << status;
  }
  for (const char* address :
       {"", "8640", ":8640", "127.0.0.1:", "127.0.0.1:70000", "::1:5", "unix:", "a b:1"}) {
    ServerOptions options;
    options.address = address;
    EXPECT_EQ(start_fault(served, options).code(), absl::StatusCode::kInvalidArgument) << address;
  }
  Serving open;
  open.server.address = "0.0.0.0:0";
  open.server.plaintext_beyond_loopback = true;
  Served reachable(std::move(open));
  const std::string port = reachable.server().address().substr(reachable.server().address().rfind(':'));
  const auto channel = channel_to("127.0.0.1" + port);
  EXPECT_TRUE(list_libraries(channel).ok());
  const auto reflected =
      stream_raw(channel, "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo", "\x3A\x01*");
  EXPECT_EQ(reflected.status.error_code(), grpc::StatusCode::UNIMPLEMENTED)
      << "no reflection beyond loopback";
}

TEST(Address, UnixSocketReplacesADeadOneAndLeavesALiveOne) {
  TemporaryFolder home;
  const std::string path = (home.path() / "socket").string();
  {  // A socket whose program is gone.
    const int fd = ::socket(AF_UNIX, SOCK_STREAM, 0);
    sockaddr_un name{};
    name.sun_family = AF_UNIX;
    path.copy(name.sun_path, sizeof name.sun_path - 1);
    ASSERT_EQ(::bind(fd, reinterpret_cast<sockaddr*>(&name), sizeof name), 0);
    ::close(fd);
  }
  Serving how;
  how.server.address = "unix:" + path;
  Served served(std::move(how));
  EXPECT_EQ(served.server().address(), "unix:" + path);
  EXPECT_TRUE(list_libraries(channel_to("unix:" + path)).ok());
  struct stat status {};
  ASSERT_EQ(::stat(path.c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777, 0660u);
  ServerOptions second;
  second.address = "unix:" + path;
  EXPECT_EQ(start_fault(served, second).code(), absl::StatusCode::kUnavailable);
  EXPECT_TRUE(list_libraries(channel_to("unix:" + path)).ok()) << "the first one still answers";
  write_file(home.path() / "file", "no socket");
  second.address = "unix:" + (home.path() / "file").string();
  EXPECT_EQ(start_fault(served, second).code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(read_file(home.path() / "file"), "no socket");
  second.address = "unix:" + std::string(200, 'x');
  EXPECT_EQ(start_fault(served, second).code(), absl::StatusCode::kInvalidArgument);
}

// Certificates made on the spot.
class Tls : public testing::Test {
 protected:
  Tls() {
    make_authority("authority");
    make_authority("stranger");
    make_certificate("server", "authority");
    make_certificate("caller", "authority");
    make_certificate("outsider", "stranger");
  }
  void run(const std::string& command) {
    const std::string all = "cd '" + home.path().string() + "' && openssl " + command + " >openssl.log 2>&1";
    ASSERT_EQ(std::system(all.c_str()), 0) << all << "\n" << read_file(home.path() / "openssl.log");
  }
  void make_authority(const std::string& name) {
    run("req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 2 -subj /CN=" + name +
        " -keyout " + name + ".key -out " + name + ".pem");
  }
  void make_certificate(const std::string& name, const std::string& by) {
    write_file(home.path() / "names", "subjectAltName=DNS:localhost,IP:127.0.0.1\n");
    run("req -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj /CN=" + name + " -keyout " + name +
        ".key -out " + name + ".csr");
    run("x509 -req -in " + name + ".csr -CA " + by + ".pem -CAkey " + by +
        ".key -set_serial 2 -days 2 -extfile "
        "names -out " +
        name + ".pem");
  }
  std::string text(const std::string& name) { return read_file(home.path() / name); }

  Serving serving(bool mutual) {
    Serving how;
    how.server.tls.certificate = text("server.pem");
    how.server.tls.private_key = text("server.key");
    if (mutual) how.server.tls.client_authority = text("authority.pem");
    return how;
  }
  absl::Status check(Served& served, const std::string& authority, const std::string& caller) {
    Connection connection;
    connection.address = served.server().address();
    if (!authority.empty()) connection.authority = home.path() / (authority + ".pem");
    if (!caller.empty()) {
      connection.certificate = home.path() / (caller + ".pem");
      connection.private_key = home.path() / (caller + ".key");
    }
    RemoteCheck check;
    check.library = "nothing";  // an answer of the service is enough
    return rpc::check(connection, check).status();
  }
  static constexpr absl::StatusCode kAnswered = absl::StatusCode::kInvalidArgument;
  TemporaryFolder home;
};

TEST_F(Tls, AnswersThoseWhoTrustItsAuthority) {
  Served served(serving(false));
  EXPECT_EQ(check(served, "authority", "").code(), kAnswered);
  EXPECT_EQ(check(served, "stranger", "").code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(check(served, "", "").code(), absl::StatusCode::kUnavailable) << "plaintext to a TLS port";
  EXPECT_EQ(check(served, "", "caller").code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(check(served, "missing", "").code(), absl::StatusCode::kInvalidArgument);
}

TEST_F(Tls, MutualAnswersOnlyCallersOfItsAuthority) {
  Served served(serving(true));
  EXPECT_EQ(check(served, "authority", "caller").code(), kAnswered);
  EXPECT_EQ(check(served, "authority", "").code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(check(served, "authority", "outsider").code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(served.requests("CheckService/Check"), 1) << "the others came to no call";
}

TEST_F(Tls, SaysWhatIsMissing) {
  Served beside;
  ServerOptions options = serving(false).server;
  options.tls.private_key.clear();
  EXPECT_NE(start_fault(beside, options).message().find("private_key_file"), std::string::npos);
  options.tls.private_key = "no key";
  EXPECT_EQ(start_fault(beside, options).code(), absl::StatusCode::kFailedPrecondition);
}

health::HealthCheckResponse::ServingStatus health_of(Served& served, const std::string& service) {
  grpc::ClientContext context;
  health::HealthCheckRequest request;
  request.set_service(service);
  health::HealthCheckResponse response;
  const auto stub = health::Health::NewStub(channel_to(served.server().address()));
  const grpc::Status status = stub->Check(&context, request, &response);
  return status.ok() ? response.status() : health::HealthCheckResponse::SERVICE_UNKNOWN;
}

TEST(Health, FollowsTheServiceForAllAndEachOfItsServices) {
  Served served;
  for (bool serving : {true, false, true}) {
    served.server().set_serving(serving);
    for (const char* service : {"", "brakeward.v1.CheckService", "brakeward.v1.LibraryService"})
      EXPECT_EQ(health_of(served, service),
                serving ? health::HealthCheckResponse::SERVING : health::HealthCheckResponse::NOT_SERVING)
          << service;
  }
  EXPECT_EQ(health_of(served, "elsewhere"), health::HealthCheckResponse::SERVICE_UNKNOWN);
}

TEST(Reflection, ListsEveryServiceOnLoopback) {
  Served served;
  const auto call = stream_raw(channel_to(served.server().address()),
                               "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo",
                               "\x3A\x01*");  // list_services: "*"
  ASSERT_TRUE(call.status.ok()) << call.status.error_message();
  ASSERT_EQ(call.responses.size(), 1u);
  for (const char* service :
       {"brakeward.v1.CheckService", "brakeward.v1.LibraryService", "grpc.health.v1.Health"})
    EXPECT_NE(call.responses[0].find(service), std::string::npos) << service;
}

TEST(Counting, EveryCallCountsOnceUnderItsFinalCode) {
  Serving how;
  how.server.message_bytes = 64 * 1024;
  Served served(std::move(how));
  const auto channel = channel_to(served.server().address());
  constexpr const char* kList = "/brakeward.v1.LibraryService/ListLibraries";
  constexpr const char* kCheck = "/brakeward.v1.CheckService/Check";
  constexpr int kTimes = 5;
  const std::string malformed = "\xFF\xFF\xFF";
  const std::string oversize(size_t{200} * 1024, '\0');
  for (int i = 0; i < kTimes; ++i) {
    EXPECT_EQ(call_raw(channel, kList, "").error_code(), grpc::StatusCode::OK);
    const grpc::Status bad = call_raw(channel, kList, malformed);
    EXPECT_EQ(bad.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
    EXPECT_EQ(reason_of(bad), "MALFORMED_REQUEST");
    EXPECT_EQ(call_raw(channel, kList, oversize).error_code(), grpc::StatusCode::RESOURCE_EXHAUSTED);
    EXPECT_EQ(stream_raw(channel, kCheck, malformed).status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
    EXPECT_EQ(stream_raw(channel, kCheck, oversize).status.error_code(),
              grpc::StatusCode::RESOURCE_EXHAUSTED);
    EXPECT_EQ(health_of(served, ""), health::HealthCheckResponse::SERVING);
    health_of(served, "elsewhere");
    EXPECT_EQ(call_raw(channel, "/brakeward.v1.LibraryService/NoSuch", "").error_code(),
              grpc::StatusCode::UNIMPLEMENTED);
    EXPECT_TRUE(
        stream_raw(channel, "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo", "\x3A\x01*")
            .status.ok());
  }
  const auto expect = [&](const std::string& method, const std::string& code, double count) {
    EXPECT_TRUE(eventually([&] { return served.requests(method, code) >= count; })) << method << " " << code;
    EXPECT_EQ(served.requests(method, code), count) << method << " " << code;
  };
  expect("LibraryService/ListLibraries", "OK", kTimes);
  expect("LibraryService/ListLibraries", "INVALID_ARGUMENT", kTimes);
  expect("CheckService/Check", "INVALID_ARGUMENT", kTimes);
  expect("Health/Check", "OK", kTimes);
  expect("Health/Check", "NOT_FOUND", kTimes);
  expect("ServerReflection/ServerReflectionInfo", "OK", kTimes);
  expect("LibraryService/ListLibraries", "RESOURCE_EXHAUSTED", kTimes);
  expect("CheckService/Check", "RESOURCE_EXHAUSTED", kTimes);
  expect("other", "UNIMPLEMENTED", kTimes);
  served.stop_server();
  EXPECT_EQ(served.requests("LibraryService/ListLibraries"), 3 * kTimes);
  EXPECT_EQ(served.requests("CheckService/Check"), 2 * kTimes);
  EXPECT_EQ(served.requests("Health/Check"), 2 * kTimes);
}

TEST(Stopping, DoesNotWaitForThoseWhoWatchTheHealth) {
  Served served;
  grpc::ClientContext context;
  const auto stub = health::Health::NewStub(channel_to(served.server().address()));
  const auto watch = stub->Watch(&context, {});
  health::HealthCheckResponse response;
  ASSERT_TRUE(watch->Read(&response));
  const auto began = std::chrono::steady_clock::now();
  served.server().shutdown(std::chrono::system_clock::now() + std::chrono::seconds(60));
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(20));
  while (watch->Read(&response)) continue;
  EXPECT_FALSE(watch->Finish().ok());
}

}  // namespace
}  // namespace brakeward::rpc
