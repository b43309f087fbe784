#include "signals.hpp"

#include <signal.h>
#include <sys/eventfd.h>
#include <sys/time.h>
#include <unistd.h>

#include <atomic>
#include <cstdint>

namespace stillpoint::daemon {
namespace {

std::atomic<int> g_descriptor{-1};
std::atomic<int> g_signals{0};
std::atomic<int> g_late_status{0};

// Only calls that are safe inside a signal handler.
void on_stop(int) {
  const int descriptor = g_descriptor.load();
  if (g_signals.fetch_add(1) > 0 || descriptor < 0) ::_exit(1);
  const std::uint64_t one = 1;
  if (::write(descriptor, &one, sizeof one) < 0) ::_exit(1);
}

void on_alarm(int) {
  ::_exit(g_late_status.load());
}

void handle(int number, void (*handler)(int)) {
  struct sigaction action {};
  action.sa_handler = handler;
  action.sa_flags = SA_RESTART;
  ::sigaction(number, &action, nullptr);
}

}  // namespace

Signals::Signals(boost::asio::io_context& io, std::function<void()> stop)
    : descriptor_(io, ::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {
  g_descriptor = descriptor_.native_handle();
  handle(SIGPIPE, SIG_IGN);
  handle(SIGXFSZ, SIG_IGN);  // a limit on the size of files is a failed write like others
  handle(SIGALRM, on_alarm);
  for (const int number : {SIGTERM, SIGINT, SIGHUP}) handle(number, on_stop);
  descriptor_.async_wait(boost::asio::posix::stream_descriptor::wait_read,
                         [stop = std::move(stop)](const boost::system::error_code& error) {
                           if (!error) stop();
                         });
}

Signals::~Signals() {
  g_descriptor = -1;
}

void Signals::release() {
  descriptor_.cancel();
}

void Signals::end_after_ms(long ms, int exit_status) {
  g_late_status = exit_status;
  itimerval timer{};
  timer.it_value.tv_sec = ms / 1000;
  timer.it_value.tv_usec = (ms % 1000) * 1000;
  ::setitimer(ITIMER_REAL, &timer, nullptr);
}

}  // namespace stillpoint::daemon
