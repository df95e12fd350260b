// Counts every call once, where its final status is known.
#pragma once

#include <grpcpp/support/server_interceptor.h>

#include <memory>
#include <string>

#include "metrics/service_metrics.h"

namespace brakeward::rpc {

// "CheckService/Check" of "/brakeward.v1.CheckService/Check".
std::string method_label(const std::string& full_name);

class CountingFactory : public grpc::experimental::ServerInterceptorFactoryInterface {
 public:
  explicit CountingFactory(std::shared_ptr<metrics::ServiceMetrics> metrics) : metrics_(std::move(metrics)) {}
  grpc::experimental::Interceptor* CreateServerInterceptor(grpc::experimental::ServerRpcInfo* info) override;

 private:
  std::shared_ptr<metrics::ServiceMetrics> metrics_;
};

}  // namespace brakeward::rpc
