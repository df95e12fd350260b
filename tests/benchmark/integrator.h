// The engine beside a general integrator on the same equations.
#pragma once

namespace brakeward::benchmark {

// One stop both ways; false, with a line that says so, when their answers differ.
bool compare_with_integrator();

}  // namespace brakeward::benchmark
