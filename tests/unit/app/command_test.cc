// Exit codes. Reference: sysexits.h (BSD) for the numbers from 64 up.
#include "app/command.h"

#include <gtest/gtest.h>
#include <sysexits.h>

#include <map>

namespace brakeward::app {
namespace {

using absl::StatusCode;

TEST(ExitCodeOf, EveryStatusCode) {
  const std::map<StatusCode, int> expected = {
      {StatusCode::kOk, EX_OK},
      {StatusCode::kInvalidArgument, EX_DATAERR},
      {StatusCode::kFailedPrecondition, EX_DATAERR},
      {StatusCode::kNotFound, EX_DATAERR},
      {StatusCode::kOutOfRange, EX_DATAERR},
      {StatusCode::kUnavailable, EX_UNAVAILABLE},
      {StatusCode::kResourceExhausted, EX_TEMPFAIL},
      {StatusCode::kDeadlineExceeded, EX_TEMPFAIL},
      {StatusCode::kCancelled, EX_TEMPFAIL},
      {StatusCode::kUnauthenticated, EX_NOPERM},
      {StatusCode::kPermissionDenied, EX_NOPERM},
      {StatusCode::kUnknown, EX_SOFTWARE},
      {StatusCode::kInternal, EX_SOFTWARE},
      {StatusCode::kDataLoss, EX_SOFTWARE},
      {StatusCode::kUnimplemented, EX_SOFTWARE},
      {StatusCode::kAborted, EX_SOFTWARE},
      {StatusCode::kAlreadyExists, EX_SOFTWARE},
  };
  EXPECT_EQ(expected.size(), 17u) << "the canonical codes are 0 to 16";
  for (const auto& [code, exit_code] : expected)
    EXPECT_EQ(exit_code_of(absl::Status(code, "text")), exit_code) << absl::StatusCodeToString(code);
}

TEST(ExitCodeOf, EveryVerdict) {
  EXPECT_EQ(exit_code_of(verdict::Verdict::kPass), 0);
  EXPECT_EQ(exit_code_of(verdict::Verdict::kFail), 1);
  EXPECT_EQ(exit_code_of(verdict::Verdict::kInconclusive), 2);
  EXPECT_EQ(exit_code_of(verdict::Verdict::kNone), 2) << "nothing judged is no pass";
  EXPECT_EQ(exit_code_of(verdict::Verdict::kError), 3);
}

TEST(ReportFailure, PutsEachLineAfterTheProgramsName) {
  testing::internal::CaptureStderr();
  const int code = report_failure(absl::InvalidArgumentError("a.textproto: x\n\nb.textproto: y\n"));
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "brakeward: a.textproto: x\nbrakeward: b.textproto: y\n");
  EXPECT_EQ(code, EX_DATAERR);
}

TEST(ReportFailure, SaysNothingOfSuccess) {
  testing::internal::CaptureStderr();
  EXPECT_EQ(report_failure(absl::OkStatus()), 0);
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

TEST(LibraryOptions, ReachTheGate) {
  LibraryOptions options;
  options.library = "cars/roan";
  options.vehicle = "v";
  options.baseline = "b";
  options.recordings = "r";
  const gate::Options gate = gate_options(options, "c");
  EXPECT_EQ(gate.library, "cars/roan");
  EXPECT_EQ(gate.calibration, "c");
  EXPECT_EQ(gate.load.vehicle_file, "v");
  EXPECT_EQ(gate.load.baseline_file, "b");
  EXPECT_EQ(gate.load.recordings_folder, "r");
  EXPECT_FALSE(gate.load.without_baseline);
}

}  // namespace
}  // namespace brakeward::app
