// The methods of the two services, each with what answers it.
#pragma once

#include <grpcpp/grpcpp.h>
#include <grpcpp/impl/codegen/service_type.h>

#include <deque>

#include "rpc/context.h"
#include "rpc/unary.h"

namespace brakeward::rpc {

// A service whose methods take and give bytes.
class ByteService : public grpc::Service {
 protected:
  using Start = std::function<Call*(grpc::CallbackServerContext* context)>;
  // In the order of the methods in the schema.
  void add(const std::string& service, const char* method, Start start);

 private:
  std::deque<std::string> names_;  // gRPC keeps pointers into them
};

class CheckService : public ByteService {
 public:
  explicit CheckService(Context& shared);
};

class LibraryService : public ByteService {
 public:
  explicit LibraryService(Context& shared);

 private:
  template <class Request>
  void add_answer(Context& shared, const char* method);

  std::deque<Answer> answers_;
};

inline constexpr const char* kCheckService = "brakeward.v1.CheckService";
inline constexpr const char* kLibraryService = "brakeward.v1.LibraryService";

}  // namespace brakeward::rpc
