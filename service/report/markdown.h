// The run as Markdown, for a comment on a merge request.
#pragma once

#include <string>

#include "verdict/run.h"

namespace brakeward::report {

// GitHub-flavoured Markdown: the verdict with counts, what was compared with what, the five worst findings
// with their reasons, the values in which the candidate differs, what was not judged and what would settle
// it, and the caution. Order and numbers are those of the other views. Verdicts are a shape and a word, no
// colour.
//
// Names and reasons are escaped (markdown_text.h) and cut where very long, so that the whole stays under 60
// kB whatever the run holds; where something is left out a sentence says how much.
std::string render_markdown(const verdict::Run& run);

}  // namespace brakeward::report
