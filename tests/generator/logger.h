// What a logger makes of a drive: sampling, delays, noise, quantization, a CSV file.
#pragma once

#include <string>

#include "generator/drives.h"
#include "replay/replay.h"

namespace brakeward::generator {

// The CSV text. Columns: T_MS; HAND_MM; PEDAL_N; P_FRONT_BAR; P_REAR_BAR; V_KMH; AX_G (ISO 8855: negative
// when braking); T_DISC_F_C; T_DISC_R_C. The noise is seeded by the drive's name.
std::string log_drive(const Drive& drive, const replay::Trace& trace);

}  // namespace brakeward::generator
