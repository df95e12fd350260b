// Callers that go away, do not read, send rubbish or come in crowds: the service answers the next one, leaks
// no run and no stream, and counts every call once.
#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <random>
#include <thread>

#include "unit/rpc/calls.h"
#include "unit/rpc/served.h"

namespace brakeward::rpc {
namespace {

using namespace std::chrono_literals;

v1::CheckRequest request_for(Served& served, const std::string& library) {
  v1::CheckRequest request;
  request.set_library("libraries/" + library);
  *request.mutable_calibration() = served.desk().libraries().find(library)->library->calibrations[0].message;
  return request;
}

Serving serving(int queued = 64) {
  static const TemporaryFolder home;
  static const std::filesystem::path folder = long_library(home, 200);
  Serving how;
  how.libraries = {demo_library(), folder};
  how.desk.queued_runs = queued;
  return how;
}

// The service still does its work, and nothing of what was is left.
void expect_sound(Served& served) {
  EXPECT_TRUE(eventually([&] { return served.desk().running() == 0 && served.desk().waiting() == 0; }));
  const auto call = call_check(channel_to(served.server().address()), request_for(served, "sorrel"));
  ASSERT_TRUE(call.status.ok()) << call.status.error_message();
  EXPECT_TRUE(call.responses.back().has_completed());
}

class Connection {
 public:
  explicit Connection(const std::string& address) : fd_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in where{};
    where.sin_family = AF_INET;
    where.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    where.sin_port = htons(static_cast<std::uint16_t>(std::stoi(address.substr(address.rfind(':') + 1))));
    is_open_ = ::connect(fd_, reinterpret_cast<sockaddr*>(&where), sizeof where) == 0;
  }
  ~Connection() { ::close(fd_); }
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;
  bool is_open() const { return is_open_; }
  void send(const std::string& bytes) {
    // The other side may have hung up on the rubbish before.
    (void)!::send(fd_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
  }

 private:
  int fd_;
  bool is_open_ = false;
};

TEST(Abuse, StormOfCancelledCalls) {
  Served served(serving());
  const auto channel = channel_to(served.server().address());
  const auto stub = v1::CheckService::NewStub(channel);
  const v1::CheckRequest request = request_for(served, "long");
  constexpr int kThreads = 4, kEach = 12;
  std::vector<std::thread> threads;
  for (int t = 0; t < kThreads; ++t)
    threads.emplace_back([&, t] {
      for (int i = 0; i < kEach; ++i) {
        grpc::ClientContext context;
        const auto stream = stub->Check(&context, request);
        v1::CheckResponse response;
        // At once, once accepted, or while it runs.
        const int reads = t == 0 && i % 4 == 0 ? 2 : (t + i) % 2;
        for (int read = 0; read < reads && stream->Read(&response); ++read) continue;
        context.TryCancel();
        while (stream->Read(&response)) continue;
        EXPECT_FALSE(stream->Finish().ok());
      }
    });
  for (auto& t : threads) t.join();
  expect_sound(served);
  served.stop_server();
  const double counted = served.requests("CheckService/Check");
  // A call that is cancelled before its head has left the caller never comes to the service.
  EXPECT_LE(counted, kThreads * kEach + 1);
  EXPECT_GE(counted, kThreads * kEach * 2 / 3);
  std::printf("%.0f of %d calls came to the service\n", counted, kThreads * kEach + 1);
}

TEST(Abuse, DeadlinesOfOneMillisecond) {
  Served served(serving());
  const auto channel = channel_to(served.server().address());
  const auto stub = v1::CheckService::NewStub(channel);
  for (const char* library : {"long", "sorrel"}) {
    const v1::CheckRequest request = request_for(served, library);
    for (int i = 0; i < 40; ++i) {
      grpc::ClientContext context;
      context.set_deadline(std::chrono::system_clock::now() + 1ms);
      EXPECT_EQ(call_check(channel, request, &context).status.error_code(),
                grpc::StatusCode::DEADLINE_EXCEEDED);
    }
  }
  expect_sound(served);
}

TEST(Abuse, ReadersWhoDoNotRead) {
  Served served(serving());
  const auto channel = channel_to(served.server().address());
  const auto stub = v1::CheckService::NewStub(channel);
  v1::ReplayRequest request;
  request.set_library("libraries/sorrel");
  *request.mutable_calibration() = request_for(served, "sorrel").calibration();
  request.set_scenario("corrie_downhill");
  std::vector<std::unique_ptr<grpc::ClientContext>> contexts;
  std::vector<std::unique_ptr<grpc::ClientReader<v1::ReplayResponse>>> streams;
  for (int i = 0; i < 8; ++i) {
    contexts.push_back(std::make_unique<grpc::ClientContext>());
    streams.push_back(stub->Replay(contexts.back().get(), request));
  }
  expect_sound(served);  // others are served meanwhile
  // One reads on after all and finds everything there.
  size_t values = 0;
  std::int64_t rows = 0;
  int columns = 1;
  for (v1::ReplayResponse response; streams[0]->Read(&response);) {
    if (response.has_header()) {
      rows = response.header().row_count();
      columns = response.header().signals_size();
    }
    values += static_cast<size_t>(response.rows().values_size());
  }
  EXPECT_TRUE(streams[0]->Finish().ok());
  EXPECT_EQ(values, static_cast<size_t>(rows * columns));
  for (size_t i = 1; i < streams.size(); ++i) {
    contexts[i]->TryCancel();
    v1::ReplayResponse response;
    while (streams[i]->Read(&response)) continue;
    streams[i]->Finish();
  }
  expect_sound(served);
}

TEST(Abuse, MessagesThatAreNone) {
  Serving how = serving();
  how.server.message_bytes = 1 << 20;
  Served served(std::move(how));
  const auto channel = channel_to(served.server().address());
  const std::string good = request_for(served, "sorrel").SerializeAsString();
  std::mt19937 random(20261125);
  constexpr int kCalls = 150;
  const auto expect_refusal = [&](const std::string& bytes) {
    const auto call = stream_raw(channel, "/brakeward.v1.CheckService/Check", bytes);
    // Bytes changed by chance may still be a good request, or one that is only refused for what it says.
    const auto code = call.status.error_code();
    EXPECT_TRUE(code == grpc::StatusCode::INVALID_ARGUMENT || code == grpc::StatusCode::NOT_FOUND ||
                code == grpc::StatusCode::OK || code == grpc::StatusCode::FAILED_PRECONDITION)
        << code << " " << call.status.error_message();
    EXPECT_EQ(reason_of(call.status).empty(), call.status.ok());
  };
  for (int i = 0; i < kCalls; ++i) {
    std::string bytes = good;
    if (i % 3 == 0) {
      bytes.resize(random() % good.size());
    } else if (i % 3 == 1) {
      for (int k = 0; k < 3; ++k) bytes[random() % bytes.size()] = static_cast<char>(random());
    } else {
      bytes.resize(random() % 2000);
      for (char& c : bytes) c = static_cast<char>(random());
    }
    expect_refusal(bytes);
  }
  // Messages within messages, deeper than protobuf follows.
  std::string deep;
  for (int i = 0; i < 5000; ++i) deep = "\x0B" + deep + "\x0C";
  expect_refusal(deep);
  for (int i = 0; i < 10; ++i)
    EXPECT_EQ(stream_raw(channel, "/brakeward.v1.CheckService/Check", std::string(3 << 20, 'x'))
                  .status.error_code(),
              grpc::StatusCode::RESOURCE_EXHAUSTED);
  grpc::ClientContext context;  // a caller that ends its side without a message
  std::unique_ptr<grpc::ClientReaderWriter<grpc::ByteBuffer, grpc::ByteBuffer>> silent(
      grpc::internal::ClientReaderWriterFactory<grpc::ByteBuffer, grpc::ByteBuffer>::Create(
          channel.get(),
          grpc::internal::RpcMethod("/brakeward.v1.CheckService/Check",
                                    grpc::internal::RpcMethod::BIDI_STREAMING),
          &context));
  silent->WritesDone();
  EXPECT_EQ(silent->Finish().error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  expect_sound(served);
  served.stop_server();
  EXPECT_EQ(served.requests("CheckService/Check"), kCalls + 1 + 10 + 1 + 1) << "every call counts once";
}

TEST(Abuse, RandomBytesOnThePort) {
  Served served(serving());
  std::mt19937 random(17);
  const std::string preface = "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n";
  for (int i = 0; i < 200; ++i) {
    Connection connection(served.server().address());
    ASSERT_TRUE(connection.is_open());
    std::string bytes = i % 2 ? preface : "";
    for (unsigned k = random() % 3000; k > 0; --k) bytes += static_cast<char>(random());
    connection.send(bytes);
  }
  expect_sound(served);
}

TEST(Abuse, AThousandConnections) {
  Served served(serving());
  for (int i = 0; i < 1000; ++i) {
    Connection connection(served.server().address());
    ASSERT_TRUE(connection.is_open()) << i;
  }
  expect_sound(served);
}

TEST(Abuse, StopsWithStreamsOpen) {
  Served served(serving());
  constexpr int kStreams = 8;
  std::vector<std::thread> threads;
  std::vector<grpc::Status> ended(kStreams);
  std::atomic<int> accepted{0};
  const v1::CheckRequest request = request_for(served, "long");
  for (int i = 0; i < kStreams; ++i)
    threads.emplace_back([&, i] {
      grpc::ClientContext context;
      const auto stub = v1::CheckService::NewStub(channel_to(served.server().address()));
      const auto stream = stub->Check(&context, request);
      v1::CheckResponse response;
      if (stream->Read(&response)) ++accepted;
      while (stream->Read(&response)) continue;
      ended[static_cast<size_t>(i)] = stream->Finish();
    });
  ASSERT_TRUE(eventually([&] { return accepted == kStreams; }));
  const auto began = std::chrono::steady_clock::now();
  served.server().shutdown(std::chrono::system_clock::now() + 100ms);
  EXPECT_LT(std::chrono::steady_clock::now() - began, 10s);
  for (auto& t : threads) t.join();
  for (const auto& status : ended) EXPECT_FALSE(status.ok());
  EXPECT_TRUE(eventually([&] { return served.desk().running() == 0 && served.desk().waiting() == 0; }));
  EXPECT_EQ(served.requests("CheckService/Check"), kStreams);
}

}  // namespace
}  // namespace brakeward::rpc
