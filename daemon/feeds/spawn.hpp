#pragma once
/// Starts a coroutine whose failure is logged instead of lost.
///
/// Threads: the I/O thread.
/// Errors:  an exception that leaves the coroutine is logged; the rest of the daemon goes on.

#include <spdlog/spdlog.h>

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <exception>
#include <string>

namespace stillpoint::daemon {

inline void spawn(boost::asio::io_context& io, std::string what, boost::asio::awaitable<void> work) {
  boost::asio::co_spawn(io, std::move(work), [what = std::move(what)](const std::exception_ptr& failure) {
    if (!failure) return;
    try {
      std::rethrow_exception(failure);
    } catch (const std::exception& error) {
      spdlog::error("{} stopped: {}", what, error.what());
    }
  });
}

}  // namespace stillpoint::daemon
