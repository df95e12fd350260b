// The bus between the request's sensors and the controller. Kernel: included by engine translation units
// only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/params.h"
#include "signal/ports.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// The longest delay, of bus and fault together, at the shortest tick: 120 ms at 0.5 ms; and one more.
inline constexpr int kBusDepth = 256;

template <class Real>
struct RequestMessage {
  Real number;  // from 1 on; 0 before the first
  Real hand_volts[signal::kHandTracks];
  Real pedal_volts;
};

template <class Real>
struct RequestBus {
  Real due;                   // messages that should have been sent
  RequestMessage<Real> sent;  // newest that was
  RequestMessage<Real> sent_at[kBusDepth];
  RequestMessage<Real> received;
  Real age;  // ticks since then
};

template <class Real>
BRAKEWARD_INLINE RequestMessage<Real> message_of(Real number, const signal::SensorFrame<Real>& frame) {
  return {number, {frame.hand_volts[0], frame.hand_volts[1]}, frame.pedal_volts};
}

template <class Real>
BRAKEWARD_INLINE RequestMessage<Real> either(Mask<Real> first, const RequestMessage<Real>& a,
                                             const RequestMessage<Real>& b) {
  return {select(first, a.number, b.number),
          {select(first, a.hand_volts[0], b.hand_volts[0]), select(first, a.hand_volts[1], b.hand_volts[1])},
          select(first, a.pedal_volts, b.pedal_volts)};
}

// What had been sent `delay` ticks ago, which each lane has its own of.
template <class Real>
BRAKEWARD_INLINE RequestMessage<Real> arriving(long tick, Real delay, const RequestBus<Real>& s) {
  RequestMessage<Real> out = s.sent;
  for (int k = 0; k < Traits<Real>::lanes; ++k) {
    const RequestMessage<Real>& then = s.sent_at[(tick - long(get(delay, k))) & (kBusDepth - 1)];
    set(out.number, k, get(then.number, k));
    for (int t = 0; t < signal::kHandTracks; ++t) set(out.hand_volts[t], k, get(then.hand_volts[t], k));
    set(out.pedal_volts, k, get(then.pedal_volts, k));
  }
  return out;
}

// Puts in place of what the sensors show what the controller was last told of it. Message n is sent at the
// first tick not before n periods; one that falls silent is never sent again, one that an earlier number
// belongs to is not taken any more.
template <class Real>
BRAKEWARD_INLINE void cross_bus(const SensorParams<Real>& p, long tick,
                                const signal::FaultEffects<Real>& fault, signal::SensorFrame<Real>& frame,
                                RequestBus<Real>& s) {
  if (tick == 0) {
    s.received = s.sent = message_of(Real(0.0), frame);
    for (RequestMessage<Real>& slot : s.sent_at) slot = s.sent;
    s.due = s.age = Real(0.0);
  }
  const auto now = Real(double(tick)) >= s.due * p.bus_period_ticks;
  s.due = select(now, s.due + 1.0, s.due);
  s.sent = either(now & (fault.bus_silent < Real(0.5)), message_of(s.due, frame), s.sent);
  s.sent_at[tick & (kBusDepth - 1)] = s.sent;
  const RequestMessage<Real> came = arriving(tick, p.bus_delay_ticks + fault.bus_delay, s);
  const auto newer = came.number > s.received.number;
  s.received = either(newer, came, s.received);
  s.age = select(newer, Real(0.0), s.age + 1.0);
  for (int t = 0; t < signal::kHandTracks; ++t) frame.hand_volts[t] = s.received.hand_volts[t];
  frame.pedal_volts = s.received.pedal_volts;
  frame.request_age = s.age;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
