#pragma once
/// Listens to a receiver for the set-up: over the same links as the day, at the usual rates where none is known.
///
/// Time:    the machine's; of a serial device each rate gets 2.5 s to show a sentence.
/// Threads: the one that runs the io_context.
/// Errors:  one sentence in words of the link, when nothing came and the link told why.

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "feeds/feed.hpp"
#include "setup/answers.hpp"
#include "setup/heard.hpp"

namespace stillpoint::daemon {

class Hearing {
 public:
  /// `done` is called once, with the rate that was found in its link; never from inside the constructor.
  using Done = std::function<void(const Result<setup::Heard>&, const setup::Link&)>;
  Hearing(asio::io_context& io, setup::Link link, double seconds, Done done);
  ~Hearing();
  Hearing(const Hearing&) = delete;
  Hearing& operator=(const Hearing&) = delete;

 private:
  void listen();
  void wait(double seconds, void (Hearing::*then)());
  void first_look();
  void next_rate();
  void finish();
  void stop();

  asio::io_context& io_;
  setup::Link link_;
  double seconds_;
  Done done_;
  asio::steady_timer timer_;
  std::vector<int> rates_;  ///< still to be tried
  std::unique_ptr<Feed> feed_;
  setup::Listening listening_;
  std::string last_word_;
  bool is_waiting_ = false;
};

/// The machine's serial ports by their names; none: nobody knows.
std::vector<std::string> serial_devices();

}  // namespace stillpoint::daemon
