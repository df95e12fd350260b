// Threads that work side by side, and the flag that stops them. Internal to the room.
#pragma once

#include <cstddef>
#include <functional>

namespace brakeward::replay {

// Whether a std::atomic<bool> is set; null is not. As a BatchJob asks (engine.h).
bool is_raised(const void* flag);

// Calls `work` on as many threads as are wanted (0: one a core), this one among them, but no more than there
// are jobs; back when all are done. `work` takes jobs until there are none.
void work_together(int threads, std::size_t jobs, const std::function<void()>& work);

}  // namespace brakeward::replay
