// The channel map against the header: which column holds what, or every reason why not.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "recording/findings.h"
#include "recording/recording.h"
#include "recording/units.h"

namespace brakeward::recording {

struct Column {
  size_t index = 0;  // from 0
  std::string name;
  const Unit* unit = nullptr;
  Signal signal = Signal::kCount;  // kCount for the time column
  double scale = 1;
  double offset = 0;
  double delay_s = 0;

  size_t number() const { return index + 1; }
};

struct Columns {
  char delimiter = ',';
  size_t count = 0;  // cells of the header
  Column time;
  std::vector<Column> channels;
};

// Adds a fault for everything in the map that is wrong whatever the file holds.
void check_map(const ChannelMap& map, Findings& findings);

// Finds the columns in the header line; adds faults where it cannot.
Columns find_columns(std::string_view header, size_t line, const ChannelMap& map, Findings& findings);

}  // namespace brakeward::recording
