// LibraryService: what each call answers. No gRPC here.
#pragma once

#include "absl/status/statusor.h"
#include "brakeward/v1/library_service.pb.h"
#include "gate/desk.h"

namespace brakeward::rpc {

absl::StatusOr<v1::ListLibrariesResponse> answer(gate::Desk& desk, const v1::ListLibrariesRequest& request);
absl::StatusOr<v1::GetLibraryResponse> answer(gate::Desk& desk, const v1::GetLibraryRequest& request);
absl::StatusOr<v1::ListScenariosResponse> answer(gate::Desk& desk, const v1::ListScenariosRequest& request);
absl::StatusOr<v1::GetScenarioResponse> answer(gate::Desk& desk, const v1::GetScenarioRequest& request);
absl::StatusOr<v1::ListCalibrationsResponse> answer(gate::Desk& desk,
                                                    const v1::ListCalibrationsRequest& request);
absl::StatusOr<v1::GetCalibrationResponse> answer(gate::Desk& desk, const v1::GetCalibrationRequest& request);
absl::StatusOr<v1::ListBaselinesResponse> answer(gate::Desk& desk, const v1::ListBaselinesRequest& request);
absl::StatusOr<v1::GetBaselineResponse> answer(gate::Desk& desk, const v1::GetBaselineRequest& request);

}  // namespace brakeward::rpc
