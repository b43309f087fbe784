#include "stop.hpp"

#include <signal.h>

#include <csignal>
#include <initializer_list>

namespace stillpoint::rehearse {
namespace {

volatile std::sig_atomic_t stopped = 0;

extern "C" void on_stop(int) {
  stopped = 1;
}

}  // namespace

bool stop_asked() noexcept {
  return stopped != 0;
}

void catch_stop_signals() noexcept {
  struct sigaction action {};
  action.sa_handler = on_stop;
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) ::sigaction(signal, &action, nullptr);
}

}  // namespace stillpoint::rehearse
