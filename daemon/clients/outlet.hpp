#pragma once
/// Whatever listens to the day: a program on the socket, the page, the alert program, and whatever is added.
///
/// A new one is a class of its own, made and added where the daemon is wired (`Publisher::add`).
///
/// Time:    the status comes at a pace (`publisher.hpp`), alerts and points at once.
/// Threads: the I/O thread. Errors: an outlet's own; it must not throw.

#include <string>

#include "occupation/point.hpp"
#include "session/status.hpp"

namespace stillpoint::daemon {

/// The status as it is now, worked out once for everybody who is told.
struct StatusNews {
  const session::Status& status;
  const std::string& json;  ///< the same as clients get it
};

class Outlet {
 public:
  Outlet() = default;
  Outlet(const Outlet&) = delete;
  Outlet& operator=(const Outlet&) = delete;
  virtual ~Outlet() = default;

  /// Somebody wants the status; it is worked out only then.
  virtual bool is_heard() const = 0;
  virtual void status(const StatusNews& now) = 0;
  /// Raised, told again or cleared.
  virtual void alert(const session::Alert& alert) = 0;
  /// A version of a point is safe in the spool.
  virtual void point(const occupation::StoredPoint& point) = 0;
};

}  // namespace stillpoint::daemon
