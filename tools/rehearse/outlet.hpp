#pragma once
/// Where the invented receiver's bytes go: one local TCP connection, or a pseudo-terminal.
///
/// Time:    no call waits longer than its own deadline.
/// Threads: one. Errors: a sentence; bytes nobody takes are lost, as a real receiver's are.

#include <string>
#include <string_view>

#include "base/result.hpp"

namespace stillpoint::rehearse {

class Outlet {
 public:
  static Result<Outlet> tcp(int port);
  static Result<Outlet> pseudo_terminal();
  Outlet(Outlet&& other) noexcept;
  Outlet& operator=(Outlet&&) = delete;
  ~Outlet();

  /// The `[[feed]]` table that reads from here.
  std::string feed_table() const;
  /// `127.0.0.1:28110` or `/dev/pts/4`
  std::string where() const { return where_; }
  /// Waits until someone reads; false at the deadline.
  bool wait_for_reader(int ms);
  /// How many bytes were taken.
  std::size_t send(std::string_view bytes);
  /// The link is gone; a reader may come again. A pseudo-terminal only falls silent.
  void cut();

 private:
  Outlet() = default;
  bool take_reader(int ms);
  /// Corrections that are brought to the receiver; it takes them and says nothing.
  void swallow();

  int listener_ = -1, fd_ = -1, slave_ = -1;
  bool is_pty_ = false;
  int port_ = 0;
  std::string where_;
};

}  // namespace stillpoint::rehearse
