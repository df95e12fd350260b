// What the service costs on top of the engine: the measurements, and what they share.
#pragma once

#include <string>
#include <vector>

#include "brakeward/v1/calibration.pb.h"
#include "gate/session.h"
#include "temporary_folder.h"

namespace brakeward::benchmark {

// Each prints its lines; false, with a line that begins with WRONG, when an answer is not what it should be:
// then the times mean nothing. `program` is the brakeward under measurement.
bool measure_latency(const std::string& program);  // a short call, many callers
bool measure_check(const std::string& program);    // a check through the service over one in process
bool measure_start(const std::string& program);    // from exec to ready, with a long history
bool measure_cancel();                             // from a cancelled call to a free worker

struct Spread {
  double p50 = 0, p99 = 0, most = 0;
};
Spread spread_of(std::vector<double> values);

// Milliseconds since some fixed moment.
double now_ms();

// "ok" or "MISSED".
const char* against(bool met);

// The demo car.
std::string source_file(const std::string& name);
v1::Calibration demo_candidate();  // passes
std::string demo_folder();
gate::Session demo_session(const std::string& library_folder);  // of the demo candidate

// A copy of the demo library in which every scenario stands `times` times, with a baseline of its own made by
// `program`; empty when that failed.
std::string enlarged_library(const std::string& program, const tests::TemporaryFolder& folder, int times);

}  // namespace brakeward::benchmark
