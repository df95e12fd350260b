// Build sheets: as lines of a run, and where a recording's differs from the car's. Internal to the gate.
#pragma once

#include "brakeward/v1/common.pb.h"
#include "gate/session.h"

namespace brakeward::gate {

// The fields that are filled in, in schema order.
std::vector<verdict::BuildSheetLine> lines_of(const v1::BuildSheet& sheet);

v1::BuildSheet to_message(const std::vector<verdict::BuildSheetLine>& lines);

// Of every recording that a scenario of the session's tier replays, the fields that it and the vehicle fill
// in differently. A field that one of them leaves out says nothing.
std::vector<verdict::BuildSheetDifference> differences_of(const Session& session);

}  // namespace brakeward::gate
