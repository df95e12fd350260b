// How many streams are open.
#pragma once

#include <chrono>
#include <condition_variable>
#include <memory>
#include <mutex>

namespace brakeward::rpc {

// Thread-safe.
class Streams {
 public:
  explicit Streams(int limit) : limit_(limit) {}

  // One open stream, until destroyed.
  class Place {
   public:
    explicit Place(Streams& streams) : streams_(streams) {}
    ~Place() { streams_.give_back(); }
    Place(const Place&) = delete;
    Place& operator=(const Place&) = delete;

   private:
    Streams& streams_;
  };
  // Null when all are open.
  std::unique_ptr<Place> take();

  int limit() const { return limit_; }

  // True when none is open by then.
  bool wait_none(std::chrono::system_clock::time_point deadline);

 private:
  void give_back();

  const int limit_;
  std::mutex mutex_;
  std::condition_variable changed_;
  int open_ = 0;  // guarded by mutex_
};

}  // namespace brakeward::rpc
