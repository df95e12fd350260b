#include "replay/workers.h"

#include <algorithm>
#include <atomic>
#include <thread>
#include <vector>

namespace brakeward::replay {

bool is_raised(const void* flag) {
  return flag != nullptr && static_cast<const std::atomic<bool>*>(flag)->load(std::memory_order_relaxed);
}

void work_together(int threads, std::size_t jobs, const std::function<void()>& work) {
  const unsigned cores = std::max(1u, std::thread::hardware_concurrency());
  const std::size_t wanted = threads > 0 ? static_cast<std::size_t>(threads) : cores;
  std::vector<std::thread> helpers;
  for (std::size_t i = 1; i < std::min(wanted, jobs); ++i) helpers.emplace_back(work);
  work();
  for (std::thread& t : helpers) t.join();
}

}  // namespace brakeward::replay
