#pragma once
/// Asks a caster for the table of its streams, without TLS, in both versions of the protocol.
///
/// Time:    ten seconds for each version.
/// Threads: the one that runs the io_context.
/// Errors:  none: a caster that gives no table gives none.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "config/settings.hpp"
#include "feeds/caster_stream.hpp"
#include "feeds/live_link.hpp"
#include "ntrip/request.hpp"
#include "ntrip/source_table.hpp"

namespace stillpoint::daemon {

class MountsAsked : public std::enable_shared_from_this<MountsAsked> {
 public:
  using Done = std::function<void(std::optional<ntrip::SourceTable>)>;
  MountsAsked(asio::io_context& io, std::string host, int port, Done done);
  void start();
  /// `done` is not called any more.
  void stop();

 private:
  /// `self` lives as long as it asks.
  static asio::awaitable<void> ask(std::shared_ptr<MountsAsked> self);
  asio::awaitable<std::optional<ntrip::SourceTable>> table_in(ntrip::Version version);

  asio::io_context& io_;
  config::Corrections settings_;
  Done done_;
  std::unique_ptr<CasterStream> stream_;  ///< of one version
  Watchdog watchdog_;                     ///< closes the stream
};

}  // namespace stillpoint::daemon
