// Calls to a service, and what came of them.
#pragma once

#include <grpcpp/grpcpp.h>
#include <grpcpp/impl/codegen/client_unary_call.h>
#include <gtest/gtest.h>

#include <map>
#include <string>
#include <vector>

#include "brakeward/v1/check_service.grpc.pb.h"
#include "brakeward/v1/library_service.grpc.pb.h"
#include "document/parse.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "unit/rpc/served.h"

namespace brakeward::rpc {

inline std::shared_ptr<grpc::Channel> channel_to(const std::string& address) {
  grpc::ChannelArguments how;
  how.SetMaxReceiveMessageSize(-1);
  how.SetInt(GRPC_ARG_ENABLE_HTTP_PROXY, 0);
  how.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
  return grpc::CreateCustomChannel(address, grpc::InsecureChannelCredentials(), how);
}

// Documents and requests of the demo library.
template <class Message>
Message document(const std::filesystem::path& file) {
  Message message;
  const auto faults = document::load(file, &message);
  EXPECT_TRUE(faults.empty()) << faults.render();
  return message;
}

inline v1::Calibration calibration(const std::string& name) {
  return document<v1::Calibration>(demo_library() / "calibrations" / (name + ".textproto"));
}

inline v1::CheckRequest request_for(const v1::Calibration& candidate, const std::string& library = "sorrel") {
  v1::CheckRequest request;
  request.set_library("libraries/" + library);
  *request.mutable_calibration() = candidate;
  return request;
}

// The details of a status, taken apart; `reason` is empty when there are none.
struct Details {
  std::string reason, domain;
  std::map<std::string, std::string> metadata;
  std::map<std::string, std::string> violations;  // description by field
  double retry_after_s = 0;
};

inline Details details_of(const grpc::Status& status) {
  Details out;
  google::rpc::Status wire;
  if (!wire.ParseFromString(status.error_details())) return out;
  for (const auto& any : wire.details()) {
    google::rpc::ErrorInfo info;
    google::rpc::BadRequest bad;
    google::rpc::RetryInfo retry;
    if (any.UnpackTo(&info)) {
      out.reason = info.reason();
      out.domain = info.domain();
      for (const auto& [key, value] : info.metadata()) out.metadata[key] = value;
    } else if (any.UnpackTo(&bad)) {
      for (const auto& v : bad.field_violations()) out.violations[v.field()] = v.description();
    } else if (any.UnpackTo(&retry)) {
      out.retry_after_s =
          static_cast<double>(retry.retry_delay().seconds()) + retry.retry_delay().nanos() * 1e-9;
    }
  }
  return out;
}

inline std::string reason_of(const grpc::Status& status) {
  return details_of(status).reason;
}

template <class Response>
struct Streamed {
  grpc::Status status;
  std::vector<Response> responses;
};

inline Streamed<v1::CheckResponse> call_check(const std::shared_ptr<grpc::Channel>& channel,
                                              const v1::CheckRequest& request,
                                              grpc::ClientContext* context = nullptr) {
  grpc::ClientContext own;
  const auto stub = v1::CheckService::NewStub(channel);
  const auto stream = stub->Check(context ? context : &own, request);
  Streamed<v1::CheckResponse> out;
  for (v1::CheckResponse response; stream->Read(&response);) out.responses.push_back(response);
  out.status = stream->Finish();
  return out;
}

inline Streamed<v1::ReplayResponse> call_replay(const std::shared_ptr<grpc::Channel>& channel,
                                                const v1::ReplayRequest& request) {
  grpc::ClientContext context;
  const auto stub = v1::CheckService::NewStub(channel);
  const auto stream = stub->Replay(&context, request);
  Streamed<v1::ReplayResponse> out;
  for (v1::ReplayResponse response; stream->Read(&response);) out.responses.push_back(response);
  out.status = stream->Finish();
  return out;
}

inline grpc::ByteBuffer buffer_of(const std::string& bytes) {
  const grpc::Slice slice(bytes);
  return grpc::ByteBuffer(&slice, 1);
}

inline std::string bytes_of(const grpc::ByteBuffer& buffer) {
  grpc::Slice whole;
  if (!buffer.Valid() || !buffer.DumpToSingleSlice(&whole).ok()) return "";
  return std::string(reinterpret_cast<const char*>(whole.begin()), whole.size());
}

// A unary call of any bytes at all.
inline grpc::Status call_raw(const std::shared_ptr<grpc::Channel>& channel, const char* method,
                             const std::string& bytes, grpc::ClientContext* context = nullptr) {
  grpc::ClientContext own;
  grpc::ByteBuffer answer;
  return grpc::internal::BlockingUnaryCall(
      channel.get(), grpc::internal::RpcMethod(method, grpc::internal::RpcMethod::NORMAL_RPC),
      context ? context : &own, buffer_of(bytes), &answer);
}

// A call of any bytes with a stream of answers, read to its end.
inline Streamed<std::string> stream_raw(const std::shared_ptr<grpc::Channel>& channel, const char* method,
                                        const std::string& bytes, grpc::ClientContext* context = nullptr) {
  grpc::ClientContext own;
  std::unique_ptr<grpc::ClientReaderWriter<grpc::ByteBuffer, grpc::ByteBuffer>> stream(
      grpc::internal::ClientReaderWriterFactory<grpc::ByteBuffer, grpc::ByteBuffer>::Create(
          channel.get(), grpc::internal::RpcMethod(method, grpc::internal::RpcMethod::BIDI_STREAMING),
          context ? context : &own));
  stream->Write(buffer_of(bytes));
  stream->WritesDone();
  Streamed<std::string> out;
  for (grpc::ByteBuffer answer; stream->Read(&answer);) out.responses.push_back(bytes_of(answer));
  out.status = stream->Finish();
  return out;
}

}  // namespace brakeward::rpc
