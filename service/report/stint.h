// A stint's laps and a build sheet as rows of text, the same in every view that shows a table. Internal to
// the room.
#pragma once

#include <string>
#include <vector>

#include "verdict/run.h"

namespace brakeward::report {

// Heads of the cells; all but the second hold numbers.
inline constexpr const char* kStintHeads[] = {
    "lap",        "pace",         "braked m",     "front disc degC", "rear disc degC",
    "fluid degC", "to boiling K", "actuator degC"};
inline constexpr size_t kStintCells = sizeof(kStintHeads) / sizeof(kStintHeads[0]);
inline constexpr bool is_stint_text(size_t cell) {
  return cell == 1;
}

// Laps of a stint that a terminal or a summary shows.
inline constexpr size_t kStintLapsShown = 8;

// What the heads mean, in one sentence.
const char* stint_legend();

// The cells of at most so many laps, the first and the last among them and the others evenly between.
std::vector<std::vector<std::string>> stint_rows(const verdict::StintResult& stint, size_t most);

// Scenarios that are stints, gravest first.
std::vector<const verdict::ScenarioResult*> stints_of(const verdict::Run& run);

// "tyres of recording corrie_snubs: A; on the car: B", with the texts passed through `safe`.
template <class Safe>
std::string sentence_of(const verdict::BuildSheetDifference& d, const Safe& safe) {
  return safe(d.field) + " of recording " + safe(d.recording) + ": " + safe(d.recorded) +
         "; on the car: " + safe(d.fitted);
}

}  // namespace brakeward::report
