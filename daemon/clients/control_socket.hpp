#pragma once
/// The Unix-domain socket that clients talk to: one JSON-RPC message a line, up to 64 clients.
///
/// Nobody can make the daemon hold more for them than a bounded queue: of status only the latest waits, no further line
/// is taken while 32 answers or 256 KiB wait to be read, and a client that lets 64 alerts pile up is dropped. When more
/// than 16 MiB wait for all clients together, the one that lets the most lie is dropped.
///
/// Threads: the I/O thread.
/// Errors:  `listen` says in a sentence why the socket cannot be had. A message over 64 KiB is answered and the client
///          closed. A handler that throws is answered with -32603.

#include <sys/types.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>

#include "base/result.hpp"
#include "clients/outlet.hpp"
#include "common/file.hpp"

namespace stillpoint::daemon {

struct Peer {
  uid_t uid = 0;
  std::string user;  ///< name, or the number when it has none
  /// The daemon's own user, root, or a member of the socket's group.
  bool may_change = false;
};

/// One line from a client and the ways to answer it. Both may be called later; they do nothing once the client is gone,
/// and only the first answer counts.
struct Call {
  std::string line;
  Peer peer;
  std::function<void(std::string)> reply;  ///< without LF
  /// Notifies this client from now on, of this status first.
  std::function<void(std::string)> follow;
};

/// Why the path cannot be a socket's address at all; else empty.
std::optional<std::string> socket_path_fault(const std::string& path);

class ControlSocket final : public Outlet {
 public:
  static constexpr std::size_t kMostClients = 64;
  static constexpr std::size_t kQueue = 64;
  static constexpr std::size_t kMostUnreadBytes = 16 * 1024 * 1024;

  ControlSocket(boost::asio::io_context& io, std::string path);
  ~ControlSocket() override;

  /// Takes the path. A socket that was left over, on which nobody answers, is replaced; that of a living daemon is not.
  Result<void> listen();
  void start(std::function<void(const Call&)> handler);

  /// Somebody follows.
  bool is_heard() const override;
  /// The same frame for all followers; one not yet sent is replaced.
  void status(const StatusNews& now) override;
  void alert(const session::Alert& alert) override;
  /// Who kept it is answered; the others are not told.
  void point(const occupation::StoredPoint&) override {}

  void stop_accepting();
  /// Sends what waits, then closes; `close_now` does not wait.
  void finish_clients();
  bool has_clients() const { return !clients_.empty(); }
  void close_now();

 private:
  class Client;
  void accept();
  void refuse(boost::asio::local::stream_protocol::socket socket);
  void forget(const std::shared_ptr<Client>& client);
  void relieve();

  boost::asio::io_context& io_;
  std::string path_;
  Fd lock_;
  ino_t inode_ = 0;
  gid_t group_ = 0;  ///< of the socket file
  boost::asio::local::stream_protocol::acceptor acceptor_;
  std::function<void(const Call&)> handler_;
  std::set<std::shared_ptr<Client>> clients_;
  std::size_t unread_bytes_ = 0;  ///< of all clients
};

}  // namespace stillpoint::daemon
