#pragma once
/// SIGTERM, SIGINT and SIGHUP: the first asks for a clean stop, the second ends the program at once, whatever it is
/// doing.
///
/// Threads: one object in the program; the call comes on the I/O thread. Errors: none; without a descriptor for the
///          news the first signal already ends the program.

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <functional>

namespace stillpoint::daemon {

class Signals {
 public:
  Signals(boost::asio::io_context& io, std::function<void()> stop);
  ~Signals();
  Signals(const Signals&) = delete;
  Signals& operator=(const Signals&) = delete;
  /// No longer keeps the io_context busy; a second signal still ends the program.
  void release();

  /// Ends the program with this status after the time, should the clean stop hang. A later call replaces the earlier.
  static void end_after_ms(long ms, int exit_status);

 private:
  boost::asio::posix::stream_descriptor descriptor_;
};

}  // namespace stillpoint::daemon
