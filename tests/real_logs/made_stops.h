// A small library of stops that the engine itself made with a known factor on pad friction. No real log.
#pragma once

#include <filesystem>

namespace brakeward::real_logs {

// Six stops in three groups ("one_x", "one_y", "two_x", ...), 20 samples a second, on the vehicle document of
// scenarios/single-seater. The factor is put into that document's pad friction before the stops are made and
// is not in the library's copy. The logged pressure leads the deceleration by 0.1 s.
void write_made_library(const std::filesystem::path& folder, double pad_factor);

// Takes `share` off the speeds of a made stop after its first second; what it says is then no longer true.
void spoil_made_stop(const std::filesystem::path& folder, const char* stop, double share);

inline constexpr const char* kMadeStops[] = {"one_x", "one_y", "two_x", "two_y", "three_x", "three_y"};

}  // namespace brakeward::real_logs
