// A check of a copied library with its released calibration.
#pragma once

#include "end_to_end/library_copy.h"
#include "gate/check.h"

namespace brakeward::gate {

inline Options options_for(const end_to_end::LibraryCopy& copy) {
  Options options;
  options.library = copy.folder();
  options.calibration = copy.released();
  return options;
}

}  // namespace brakeward::gate
