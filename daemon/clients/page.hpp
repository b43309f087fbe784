#pragma once
/// The page for a tablet's browser: its files, a stream of what changes, and the few acts it may ask for.
///
/// Nobody can make the daemon hold more than a bounded queue, wait longer than a few seconds, or take more than some
/// kilobytes: 64 connections, 32 of them streams, one request each. A reader that does not read is dropped. Nobody can
/// keep others out either: who says nothing gives way to a newcomer, and whoever has many streams to one who has few.
/// Who may ask what is in `page_rules.hpp`.
///
/// Threads: the I/O thread.
/// Errors:  `listen` says in a sentence why the address or the key's file cannot be had.

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "base/result.hpp"
#include "clients/control_socket.hpp"
#include "config/settings.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

/// What the page shows, asked for only while somebody looks.
struct PageSource {
  std::function<std::string()> status;  ///< as JSON
  std::function<std::optional<session::OpenStay>()> stay;
  std::function<void(const Call&)> handle;
};

class Page {
 public:
  static constexpr std::size_t kMostConnections = 64;
  static constexpr std::size_t kMostStreams = 32;

  /// `key_path`: where the key for acting is written, for the daemon's user only.
  Page(boost::asio::io_context& io, const config::Page& settings, std::string key_path, PageSource source);
  ~Page();
  Page(const Page&) = delete;
  Page& operator=(const Page&) = delete;

  Result<void> listen();
  bool has_viewers() const;
  /// The status for all who look; one not yet sent is replaced.
  void publish(const std::string& status);
  void stop();

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::daemon
