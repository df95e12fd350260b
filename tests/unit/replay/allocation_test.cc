// An engine allocates nothing: operator new of this program counts.
#include <atomic>
#include <cstdlib>
#include <new>

#include "gtest/gtest.h"
#include "replay/engine.h"
#include "replay/machine.h"
#include "unit/replay/random_plans.h"

namespace {

std::atomic<long> allocations{0};

void* counted(std::size_t size, std::size_t alignment) {
  ++allocations;
  void* p = std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
  if (p == nullptr) std::abort();
  return p;
}

}  // namespace

void* operator new(std::size_t size) {
  return counted(size, alignof(std::max_align_t));
}
void* operator new[](std::size_t size) {
  return counted(size, alignof(std::max_align_t));
}
void* operator new(std::size_t size, std::align_val_t alignment) {
  return counted(size, static_cast<std::size_t>(alignment));
}
void* operator new[](std::size_t size, std::align_val_t alignment) {
  return counted(size, static_cast<std::size_t>(alignment));
}
void operator delete(void* p) noexcept {
  std::free(p);
}
void operator delete[](void* p) noexcept {
  std::free(p);
}
void operator delete(void* p, std::size_t) noexcept {
  std::free(p);
}
void operator delete[](void* p, std::size_t) noexcept {
  std::free(p);
}
void operator delete(void* p, std::align_val_t) noexcept {
  std::free(p);
}
void operator delete[](void* p, std::align_val_t) noexcept {
  std::free(p);
}
void operator delete(void* p, std::size_t, std::align_val_t) noexcept {
  std::free(p);
}
void operator delete[](void* p, std::size_t, std::align_val_t) noexcept {
  std::free(p);
}

namespace brakeward::replay {
namespace {

long allocations_of(void (*engine)(const BatchJob&)) {
  const auto plans = random_plans(1, 7);
  measure::Folds<double> folds[kLanes];
  BatchJob job{};
  job.structure = plans[0].structure;
  job.lanes = kLanes;
  for (int k = 0; k < kLanes; ++k) job.lane[k] = lane_of(plans[0], &folds[k], nullptr);
  const long before = allocations;
  engine(job);
  return allocations - before;
}

TEST(Allocation, TheCounterCounts) {
  const long before = allocations;
  delete new int;
  EXPECT_EQ(allocations, before + 1);
}

TEST(Allocation, EnginesAllocateNothing) {
  EXPECT_EQ(allocations_of(run_double), 0);
  EXPECT_EQ(allocations_of(run_counting), 0);
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) {
    EXPECT_EQ(allocations_of(run_v3), 0);
  }
  if (has_v4()) {
    EXPECT_EQ(allocations_of(run_v4), 0);
  }
}

}  // namespace
}  // namespace brakeward::replay
