#pragma once
/// Runs the program of `alerts.run` for each alert that is raised.
///
/// The argument vector is taken as it stands, with {key} {severity} {text} replaced inside each argument; there is no
/// shell. At most one runs for each key: while it does, only the newest alert of that key waits.
///
/// Time:    ten seconds for each run; then it and its children are ended.
/// Threads: the I/O thread.
/// Errors:  logged; an alert program that fails changes nothing else.

#include <sys/types.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "clients/outlet.hpp"

namespace stillpoint::daemon {

/// The argument vector for one alert.
std::vector<std::string> filled(const std::vector<std::string>& pattern, const session::Alert& alert);

class AlertRunner final : public Outlet {
 public:
  AlertRunner(boost::asio::io_context& io, std::vector<std::string> pattern);
  ~AlertRunner() override;

  /// It wants alerts alone.
  bool is_heard() const override { return false; }
  void status(const StatusNews&) override {}
  void point(const occupation::StoredPoint&) override {}
  void alert(const session::Alert& alert) override;
  /// Ends what runs; nothing is started afterwards.
  void stop();

 private:
  struct Running {
    pid_t pid = 0;
    std::chrono::steady_clock::time_point since;
    std::optional<session::Alert> next;
  };

  void start(const session::Alert& alert);
  void look();
  void look_again();
  /// Takes the result of a program that has ended, and logs a failure. False: it still runs.
  bool collect(const std::string& key, const Running& running);

  std::vector<std::string> pattern_;
  boost::asio::steady_timer timer_;
  std::map<std::string, Running> running_;
  bool looking_ = false;
  bool stopped_ = false;
};

}  // namespace stillpoint::daemon
