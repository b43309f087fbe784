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
#include "clients/outlet.hpp"
#include "clients/page_rules.hpp"
#include "config/settings.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

/// What the page shows, asked for only while somebody looks.
struct PageSource {
  std::function<session::Status()> status;
  std::function<std::optional<session::OpenStay>()> stay;
  std::function<void(const Call&)> handle;
};

struct PageState;

class Page final : public Outlet {
 public:
  /// `key_path`: where the key for acting is written, for the daemon's user only.
  /// `keys`: of those who may act already. A source without a status serves the set-up.
  Page(boost::asio::io_context& io, const config::Page& settings, std::string key_path, PageSource source,
       std::optional<PageKeys> keys = {});
  ~Page() override;

  Result<void> listen();
  void stop();
  /// Who may act, for another page to go on with.
  PageKeys keys() const;

  /// Somebody looks.
  bool is_heard() const override;
  /// For all who look; one not yet sent is replaced.
  void status(const StatusNews& now) override;
  /// Alerts stand in the status, points are asked for.
  void alert(const session::Alert&) override {}
  void point(const occupation::StoredPoint&) override {}

 private:
  std::shared_ptr<PageState> state_;
};

}  // namespace stillpoint::daemon
