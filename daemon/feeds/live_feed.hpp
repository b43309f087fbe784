#pragma once
/// One live link over any port: it opens the port, reads until that is lost, says why, and tries again by itself.
///
/// Time:    the machine's steady clock. Threads: the I/O thread. Units: none.
/// Errors:  what keeps the port from working is told as the link's state.

#include <boost/asio/awaitable.hpp>
#include <memory>
#include <string>
#include <string_view>

#include "feeds/live_link.hpp"

namespace stillpoint::daemon {

struct LiveLink;
/// Whoever waits for something of the link keeps it alive.
using LiveLinkPtr = std::shared_ptr<LiveLink>;

/// What a kind of link opens, reads and closes; its bytes go to `link->events`.
class Port {
 public:
  Port() = default;
  Port(const Port&) = delete;
  Port& operator=(const Port&) = delete;
  virtual ~Port() = default;

  /// Empty: it is open. Else why not.
  virtual asio::awaitable<std::string> open(LiveLinkPtr link) = 0;
  /// Reads until the port is lost; says why it was.
  virtual asio::awaitable<std::string> read(LiveLinkPtr link) = 0;
  /// Ends whatever is waited for as well.
  virtual void close() = 0;
  virtual bool write(std::string_view, const LiveLinkPtr&) { return false; }
};

struct LiveLink {
  LiveLink(asio::io_context& io, std::string what, const config::Feed& settings, std::unique_ptr<Port> given)
      : events(std::move(what), settings), pause(io), port(std::move(given)), watchdog(io, [this] { port->close(); }) {}

  LinkEvents events;
  asio::steady_timer pause;
  std::unique_ptr<Port> port;
  Watchdog watchdog;  ///< closes the port when it has been silent for too long
};

/// Until the time is over, or the pause is cancelled.
asio::awaitable<void> rest(LiveLinkPtr link, std::chrono::milliseconds time);

/// `kind` names the feed in the log.
std::unique_ptr<Feed> make_live_feed(asio::io_context& io, std::string kind, LiveLinkPtr link);

}  // namespace stillpoint::daemon
