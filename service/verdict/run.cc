#include "verdict/run.h"

#include <bit>
#include <cstdint>
#include <string_view>

#include "document/sha256.h"

namespace brakeward::verdict {
namespace {

// What is hashed, field by field: numbers as 8 bytes, least significant first; a double as its exact bit
// pattern; text as its length and bytes; an optional as 0 or 1 and then its value; a list as its length and
// elements.
class Encoder {
 public:
  void number(uint64_t n) {
    for (int byte = 0; byte < 8; ++byte) bytes_.push_back(static_cast<char>(n >> (8 * byte) & 0xff));
  }
  void real(double x) { number(std::bit_cast<uint64_t>(x)); }
  void text(std::string_view s) {
    number(s.size());
    bytes_.append(s);
  }
  void maybe(const std::optional<double>& x) {
    number(x.has_value());
    if (x) real(*x);
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
};

void encode(const MeasureResult& m, Encoder& e) {
  e.text(m.measure);
  e.maybe(m.value);
  e.maybe(m.baseline);
  e.maybe(m.allowed_change);
  e.maybe(m.tolerance_used);
  e.text(word(m.verdict));
}

void encode(const CampaignResult& c, Encoder& e) {
  e.text("campaign");
  if (c.fault_tolerant_time_ms)
    e.real(*c.fault_tolerant_time_ms);
  else
    e.text("double faults");
  e.number(c.faults.size());
  for (const FaultResult& f : c.faults) {
    e.text(f.fault);
    e.number(static_cast<uint64_t>(f.replays));
    e.text(f.worst_replay);
    e.text(word(f.verdict));
    e.number(f.measures.size());
    for (const MeasureResult& m : f.measures) encode(m, e);
  }
}

void encode(const StintResult& s, Encoder& e) {
  e.text("stint");
  e.number(s.laps.size());
  for (const StintLap& l : s.laps) {
    e.number(static_cast<uint64_t>(l.lap));
    e.number(l.at_pace);
    for (const double value :
         {l.braking_distance_m, l.front_disc_celsius, l.rear_disc_celsius, l.fluid_celsius})
      e.real(value);
    e.maybe(l.boiling_margin_kelvin);
    e.real(l.actuator_celsius);
  }
  if (s.parts.empty()) return;
  e.text("parts");
  e.number(s.parts.size());
  for (const StintPart& p : s.parts) {
    e.number(static_cast<uint64_t>(p.lap));
    e.text(p.scenario);
    e.number(p.compared);
    e.maybe(p.distance_m);
    e.maybe(p.deceleration_mps2);
    for (const double value :
         {p.front_disc_celsius, p.rear_disc_celsius, p.fluid_celsius, p.actuator_celsius})
      e.real(value);
  }
}

void encode(const std::vector<FeelResult>& feel, Encoder& e) {
  e.text("feel");
  e.number(feel.size());
  for (const FeelResult& f : feel) {
    e.text(f.control);
    e.text(f.unit);
    e.number(f.points.size());
    for (const FeelPoint& p : f.points) {
      e.real(p.deceleration_mps2);
      e.maybe(p.applied);
      e.maybe(p.released);
    }
  }
}

void encode(const std::vector<Repetition>& repetitions, Encoder& e) {
  e.text("repetitions");
  e.number(repetitions.size());
  for (const Repetition& r : repetitions) {
    e.text(r.kind);
    e.text(r.replay);
    e.real(r.distance_m);
    e.maybe(r.delay_ms);
    e.maybe(r.deceleration_mps2);
  }
}

void encode(const Reproduction& r, Encoder& e) {
  e.text(r.calibration_name);
  e.real(r.deceleration_rms_mps2);
  e.maybe(r.pressure_rms_bar);
  e.real(r.longest_departure_s);
  e.number(r.channels.size());
  for (const ChannelRating& c : r.channels) {
    e.text(c.channel);
    e.maybe(c.rating);
    for (const double part : {c.corridor, c.phase, c.magnitude, c.slope, c.rms_error, c.peak_error})
      e.real(part);
  }
}

void encode(const ScenarioResult& s, Encoder& e) {
  e.text(s.scenario);
  e.text(s.scenario_class);
  e.text(word(s.verdict));
  e.number(s.measures.size());
  for (const MeasureResult& m : s.measures) encode(m, e);
  e.number(s.reproduction.has_value());
  if (s.reproduction) encode(*s.reproduction, e);
  // Nothing where there is none, so that runs without keep the hashes they had.
  if (s.campaign) encode(*s.campaign, e);
  if (s.stint) encode(*s.stint, e);
  if (!s.feel.empty()) encode(s.feel, e);
  if (!s.repetitions.empty()) encode(s.repetitions, e);
}

}  // namespace

const char* word(Verdict v) {
  switch (v) {
    case Verdict::kNone:
      return "none";
    case Verdict::kPass:
      return "pass";
    case Verdict::kInconclusive:
      return "inconclusive";
    case Verdict::kFail:
      return "fail";
    case Verdict::kError:
      return "error";
  }
  return "error";
}

const char* word(RunState s) {
  switch (s) {
    case RunState::kAccepted:
      return "accepted";
    case RunState::kRunning:
      return "running";
    case RunState::kCompleted:
      return "completed";
    case RunState::kCancelled:
      return "cancelled";
    case RunState::kAborted:
      return "aborted";
  }
  return "aborted";
}

const char* word(Tier t) {
  switch (t) {
    case Tier::kGate:
      return "gate";
    case Tier::kEndurance:
      return "endurance";
    case Tier::kAll:
      return "all";
  }
  return "all";
}

Verdict worst(Verdict a, Verdict b) {
  return a < b ? b : a;
}

std::string result_sha256(const Run& run) {
  Encoder e;
  e.text("brakeward result 2");
  e.text(run.calibration_sha256);
  e.text(run.vehicle_sha256);
  e.text(run.library_name);
  e.text(run.baseline_event_build);
  e.number(static_cast<uint64_t>(run.numerics_version));
  e.text(word(run.verdict));
  e.number(run.scenarios.size());
  for (const ScenarioResult& s : run.scenarios) encode(s, e);
  return document::sha256_hex(e.bytes());
}

const char* caution() {
  return "A pass is evidence for an engineer and no release for road or track: a qualified person signs off; "
         "vehicle "
         "tests, the event's technical regulations and local law decide.";
}

}  // namespace brakeward::verdict
