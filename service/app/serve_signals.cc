#include "app/serve_signals.h"

#include <pthread.h>

#include <ctime>

namespace brakeward::app {

void Signals::block() {
  sigemptyset(&stop_);
  sigaddset(&stop_, SIGTERM);
  sigaddset(&stop_, SIGINT);
  all_ = stop_;
  sigaddset(&all_, SIGHUP);
  pthread_sigmask(SIG_BLOCK, &all_, nullptr);
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
}

Signals::Wish Signals::wait() {
  int signal = 0;
  while (sigwait(&all_, &signal) != 0) continue;
  return signal == SIGHUP ? Wish::kReload : Wish::kStop;
}

bool Signals::asked_to_stop_again() {
  const timespec at_once{};
  return sigtimedwait(&stop_, nullptr, &at_once) > 0;
}

}  // namespace brakeward::app
