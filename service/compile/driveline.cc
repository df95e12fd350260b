#include "compile/parts.h"
#include "compile/units.h"

namespace brakeward::compile {
namespace {

plant::DifferentialParams<double> differential(const v1::Differential& d) {
  return {d.preload_nm(), d.locking_percent() * kPercent};
}

}  // namespace

bool drives_front(const v1::Driveline& d) {
  return d.layout() != v1::DRIVE_LAYOUT_REAR;
}
bool drives_rear(const v1::Driveline& d) {
  return d.layout() != v1::DRIVE_LAYOUT_FRONT;
}

void driveline(const v1::Driveline& d, plant::PlantParams<double>& out, plant::PlantStructure& st) {
  const bool front = drives_front(d), rear = drives_rear(d);
  const double share = front && rear ? 0.25 : 0.5;
  out.driven_share[signal::kFront] = front ? share : 0;
  out.driven_share[signal::kRear] = rear ? share : 0;
  out.engine_braking = d.engine_braking_nm();
  out.engine_braking_fade = d.engine_braking_fade_kph() * kKph;
  out.traction_limit = d.traction_limit_n();
  out.differential[signal::kFront] = differential(d.front_differential());
  out.differential[signal::kRear] = differential(d.rear_differential());
  st.front_locks = d.has_front_differential();
  st.rear_locks = d.has_rear_differential();
}

}  // namespace brakeward::compile
