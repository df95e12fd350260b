// Signals that are waited for, never handled.
#pragma once

#include <csignal>

namespace brakeward::app {

// SIGTERM and SIGINT ask for the end, SIGHUP for the libraries anew. Used by one thread.
class Signals {
 public:
  // Blocks the three in this thread and in those it starts from here on, and ignores SIGPIPE and SIGXFSZ,
  // whose causes are errors of the write.
  void block();

  enum class Wish { kStop, kReload };
  // Waits for the next.
  Wish wait();
  // Has the end been asked for once more? Returns at once.
  bool asked_to_stop_again();

 private:
  sigset_t all_{}, stop_{};
};

}  // namespace brakeward::app
