// Controller step 8: start and restart. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"
#include "signal/ports.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct PowerUp {
  Real on_ticks;    // since the supply came back, counting its first tick; 0 without
  Real test_ticks;  // of the self-test that began then
  Real by_foot;     // 1 from a restart until the pedal is re-armed, where the foot pushes by itself, else 0
};

// It has been running before the replay.
template <class Real>
inline void start(PowerUp<Real>& s) {
  s.on_ticks = Real(1e9);
  s.test_ticks = s.by_foot = Real(0.0);
}

// Whether the controller runs: it has power, and its self-test is over. `fastest` (m/s), the fastest wheel as
// the supply comes back, says whether the car moves, which decides on the length of the test.
template <class Real>
BRAKEWARD_INLINE Mask<Real> runs(const PowerParams<Real>& p, Real supply, Real fastest, PowerUp<Real>& s) {
  const auto on = supply > p.running_above;
  s.on_ticks = select(on, s.on_ticks + 1.0, Real(0.0));
  const Real test = select(fastest > p.moving_above, p.moving_test_ticks, p.test_ticks);
  s.test_ticks = select(s.on_ticks < Real(1.5), test, s.test_ticks);
  return on & (s.on_ticks > s.test_ticks);
}

// Whether no actuator is driven: while the controller does not run (`is_out`), and after that for as long as
// a foot that brakes by itself has not let go, because its request does not count yet.
template <class Real>
BRAKEWARD_INLINE Mask<Real> leaves_it_to_the_foot(const PowerParams<Real>& p, Mask<Real> is_out,
                                                  Real pedal_out, PowerUp<Real>& s) {
  const Real waiting = select(pedal_out > Real(0.5), s.by_foot, Real(0.0));
  s.by_foot = select(is_out, p.foot_pushes, waiting);
  return is_out | (s.by_foot > Real(0.5));
}

// What the driver is shown meanwhile.
template <class Real>
BRAKEWARD_INLINE Real shown_while_out(const PowerUp<Real>& s) {
  return select(s.on_ticks > Real(0.5), Real(double(signal::kRearming)), Real(double(signal::kLost)));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
