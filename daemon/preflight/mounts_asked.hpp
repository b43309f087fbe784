#pragma once
/// Asks a caster for the table of its streams, without TLS, in both versions of the protocol.
///
/// Time:    ten seconds for each version.
/// Threads: the one that runs the io_context.
/// Errors:  none: a caster that gives no table gives none.

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "ntrip/reply.hpp"
#include "ntrip/request.hpp"
#include "ntrip/source_table.hpp"

namespace stillpoint::daemon {

class MountsAsked : public std::enable_shared_from_this<MountsAsked> {
 public:
  using Done = std::function<void(std::optional<ntrip::SourceTable>)>;
  MountsAsked(boost::asio::io_context& io, std::string host, int port, Done done);
  void start();
  /// `done` is not called any more.
  void stop();

 private:
  void ask();
  void send();
  void read();
  void finish();

  ntrip::Request request_;
  ntrip::Reply reply_;
  std::string text_;
  Done done_;
  boost::asio::ip::tcp::resolver resolver_;
  boost::asio::ip::tcp::socket socket_;
  boost::asio::steady_timer timer_;
  std::array<char, 8192> buffer_{};
};

}  // namespace stillpoint::daemon
