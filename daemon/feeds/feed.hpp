#pragma once
/// Where the receiver's bytes come from. One feed is one link; `open_feeds` joins several.
///
/// Time:    a feed knows the steady time of its bytes: the machine's for live links, the log's own for a replay. It is
///          stamped once per read, never goes backwards, and `now` is what commands and ticks are given.
/// Threads: everything on the thread that runs the io_context; events come from there and never from inside `start`.
/// Errors:  what keeps a link from working is told by `state(waiting, …)` in words; the feed then tries again by
///          itself. Only a replay whose log is not there cannot be opened at all.

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "common/times.hpp"
#include "config/settings.hpp"
#include "record/command.hpp"
#include "record/journal.hpp"
#include "session/status.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;

struct FeedEvents {
  std::function<void(std::string_view bytes, FeedTime arrived)> bytes;
  /// Told on every change. `what` names the link and, while waiting, why: "tcp 127.0.0.1:9000: connection refused".
  std::function<void(session::FeedState state, const std::string& what, FeedTime at)> state;
  /// Bytes may have been lost here: what follows is a new stretch.
  std::function<void(FeedTime at)> cut;
  /// Tells in words that another sender took over, or that a second one sends. May be empty: nobody asks.
  std::function<void(const std::string& text)> sender_changed{};
  /// A replay: what the clock says that stamped the bytes of the log. May be empty.
  std::function<void(const record::Clock& clock, FeedTime at)> clock{};
  /// A replay: bytes that were on their way to the receiver, and how the connection to their caster stood; `lost`: the
  /// receiver's link did not take them. May be empty.
  std::function<void(std::string_view bytes, bool lost, FeedTime at)> corrections{};
  std::function<void(const record::Delivery& delivery, FeedTime at)> delivery{};
};

class Feed {
 public:
  Feed() = default;
  Feed(const Feed&) = delete;
  Feed& operator=(const Feed&) = delete;
  virtual ~Feed() = default;

  virtual void start(FeedEvents events) = 0;
  /// No event comes after it.
  virtual void stop() = 0;
  /// Bytes on to the receiver, untouched. False: this link takes none, is down, or does not keep up.
  virtual bool write(std::string_view) { return false; }
  virtual FeedTime now() const = 0;
  /// What UTC belongs to which steady time, for the head of a journal.
  virtual record::JournalHead anchor() const = 0;
};

struct FeedOptions {
  bool as_fast_as_possible = false;  ///< a replay ignores its pace
};

Result<std::unique_ptr<Feed>> open_feed(asio::io_context& io, const config::Feed& settings,
                                        const FeedOptions& options = {});

/// All feeds of the configuration as one, in order of preference. `busy` says that a stay is open: then nothing but a
/// loss of the feed in use makes it change to another. A replay has a time of its own and stands alone.
Result<std::unique_ptr<Feed>> open_feeds(asio::io_context& io, const std::vector<config::Feed>& settings,
                                         std::function<bool()> busy);

// The kinds, each in its own file.
Result<std::unique_ptr<Feed>> open_replay_feed(asio::io_context& io, const config::Feed& settings,
                                               const FeedOptions& options);
std::unique_ptr<Feed> make_tcp_feed(asio::io_context& io, const config::Feed& settings);
std::unique_ptr<Feed> make_udp_feed(asio::io_context& io, const config::Feed& settings);
std::unique_ptr<Feed> make_serial_feed(asio::io_context& io, const config::Feed& settings);

}  // namespace stillpoint::daemon
