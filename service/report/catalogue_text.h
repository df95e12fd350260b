// The measure catalogue as text.
#pragma once

#include <string>

namespace brakeward::report {

// One measure a paragraph: name, unit, worse direction, point of the chain, definition, source.
std::string render_catalogue();

}  // namespace brakeward::report
