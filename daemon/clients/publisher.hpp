#pragma once
/// Tells every outlet what is new: alerts and points at once, the status at a pace.
///
/// Time:    at most one status every 20 ms, which is sooner than the next epoch of 20 Hz; at least one a second, so that
///          clients notice a daemon that is gone.
/// Threads: the I/O thread. Errors: none.

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <vector>

#include "clients/outlet.hpp"
#include "clients/status_pace.hpp"

namespace stillpoint::daemon {

class Publisher {
 public:
  /// `status` works it out anew.
  Publisher(boost::asio::io_context& io, std::function<session::Status()> status);

  /// The outlet must outlive the publisher.
  void add(Outlet& outlet) { outlets_.push_back(&outlet); }

  /// Many changes in a short time are one status: only the latest is of use.
  void status_changed();
  void alert(const session::Alert& alert) const;
  void point(const occupation::StoredPoint& point) const;

  /// While bytes are taken in, what changes is published at the end.
  void begin_bytes() noexcept;
  void end_bytes();
  /// The bytes led nowhere.
  void drop_bytes() noexcept { in_bytes_ = false; }
  /// At every tick.
  void look();
  void stop();

 private:
  void publish_soon();
  void publish_waiting();
  void publish();

  boost::asio::io_context& io_;
  std::function<session::Status()> status_;
  std::vector<Outlet*> outlets_;
  StatusPace pace_;
  boost::asio::steady_timer timer_;
  bool in_bytes_ = false;
  bool awaited_ = false;  ///< a change waited before the bytes came
  bool stopped_ = false;
};

}  // namespace stillpoint::daemon
