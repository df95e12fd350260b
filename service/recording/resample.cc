#include "recording/interpolate.h"
#include "recording/recording.h"

namespace brakeward::recording {

std::vector<double> resample(const Log& log, Signal s, double start_s, double step_s, size_t count) {
  if (s >= Signal::kCount || !log.has(s) || log[s].size() != log.time_s.size()) return {};
  std::vector<double> values(count);
  Interpolator signal(log.time_s, log[s]);
  for (size_t k = 0; k < count; ++k) values[k] = signal.at(start_s + static_cast<double>(k) * step_s);
  return values;
}

}  // namespace brakeward::recording
