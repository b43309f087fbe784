#pragma once
/// What one step of the I/O loop throws ends that step, and not the day.
///
/// Nothing here is meant to throw; a library may all the same. Whoever asked gets an error, everybody else goes on.
///
/// Threads: the I/O thread.
/// Errors:  a line in the log.

#include <functional>
#include <utility>

#include "clients/control_socket.hpp"

namespace stillpoint::daemon {

/// To be called in a handler of exceptions: what was thrown, as a line of the log.
void tell_failure(const char* what) noexcept;

/// False when the step threw.
template <class Step>
bool guarded(const char* what, Step&& step) noexcept {
  try {
    std::forward<Step>(step)();
    return true;
  } catch (...) {
    tell_failure(what);
    return false;
  }
}

/// Hands the call on. When the handler throws, the client is told so unless it already has an answer.
void handle_guarded(const std::function<void(const Call&)>& handler, const Call& call) noexcept;

/// Runs the loop until it has nothing left to do, whatever is thrown out of it.
void run_guarded(boost::asio::io_context& io) noexcept;

}  // namespace stillpoint::daemon
