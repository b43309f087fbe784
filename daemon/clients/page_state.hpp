#pragma once
/// What all connections of the page share: the door, the keys, who may stay, and the drawing of the open stay.
///
/// Threads: the I/O thread. Time: the machine's. Units: none. Errors: see `page.hpp`; this header is the page's own.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "clients/page.hpp"
#include "clients/page_rules.hpp"
#include "clients/stay_trail.hpp"
#include "common/times.hpp"

namespace stillpoint::daemon {

class PageConnection;

struct PageState : std::enable_shared_from_this<PageState> {
  using ConnectionPtr = std::shared_ptr<PageConnection>;
  static constexpr std::size_t kMostConnections = 64;
  static constexpr std::size_t kMostStreams = 32;

  PageState(boost::asio::io_context& given_io, config::Page given, std::string given_key_path, PageSource given_source,
            std::optional<PageKeys> given_keys);

  Result<void> listen();
  Result<void> write_key() const;
  void accept();
  void take(boost::asio::ip::tcp::socket socket);
  bool make_room();
  bool make_room_for_stream(const PagePeer& newcomer);
  std::size_t streams() const;
  std::size_t held_bytes() const;
  void refresh_trail();
  /// There is no day yet: the page asks for its configuration.
  bool is_first_start() const { return !source.status; }
  /// The status now, as one who begins to look gets it.
  std::string status_now() const;

  boost::asio::io_context& io;
  config::Page settings;
  std::string key_path;
  PageSource source;
  boost::asio::ip::tcp::acceptor acceptor;
  PageKeys keys;
  std::set<std::string> owners;  ///< names of peers that have given a key
  std::uint64_t taken = 0;
  std::vector<std::string> paths;
  std::set<ConnectionPtr> connections;
  StayTrail trail;
  MachineTime trail_at{};
  bool key_written = false;
};

}  // namespace stillpoint::daemon
