// The door to the engines: plain data in, folds out. An engine allocates nothing, locks nothing, logs nothing
// and reads no clock. Lane k of a batch gives the same bits as the scalar engine, whichever instruction set
// runs it.
#pragma once

#include "measure/stint_folds.h"
#include "replay/plan.h"

namespace brakeward::replay {

// What stays in brakes, actuators and controller between the legs of a stint; only an engine reads it.
struct KeptState {
  double value[512];
};

// One replay of a batch; everything is owned by the caller.
struct LaneJob {
  const ReplayParams<double>* params;
  const double* input[kInputChannels];
  long samples;                   // of the input; the last one is held beyond
  measure::Folds<double>* folds;  // out
  double* trace;  // out, kObservableCount a tick for as many ticks as the replay takes, or null; scalar
                  // engine only
  // Of a leg of a stint, else null. `from`: null on the first leg, and then in every lane.
  const KeptState* from;
  KeptState* to;                       // out; may be where `from` is
  measure::StintFolds<double>* stint;  // out
};

struct BatchJob {
  Structure structure;
  int lanes;  // 1 to kLanes
  LaneJob lane[kLanes];
  bool stint;  // the lanes are legs of stints
  // Asked every kStopTicks; true gives the batch up, with no folds harvested from then on. Null: never asked.
  bool (*stop)(const void* context);
  const void* stop_context;
};

// At the slowest engine's thousand-fold real time this is a few ms.
inline constexpr long kStopTicks = 4096;

void run_double(const BatchJob& job);    // lanes one after another, x86-64-v3 with scalar code
void run_v3(const BatchJob& job);        // x86-64-v3
void run_v4(const BatchJob& job);        // x86-64-v4
void run_counting(const BatchJob& job);  // counts operations, see math/counting.h

}  // namespace brakeward::replay
