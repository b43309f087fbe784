#include "outlet.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <utility>

#include "loopback.hpp"
#include "sentences.hpp"

namespace stillpoint::rehearse {
namespace {

constexpr int kPatienceMs = 5000;  // of a reader that does not read

}  // namespace

Outlet::Outlet(Outlet&& o) noexcept
    : listener_(std::exchange(o.listener_, -1)),
      fd_(std::exchange(o.fd_, -1)),
      slave_(std::exchange(o.slave_, -1)),
      is_pty_(o.is_pty_),
      port_(o.port_),
      where_(std::move(o.where_)) {}

Outlet::~Outlet() {
  for (const int fd : {listener_, fd_, slave_}) {
    if (fd >= 0) ::close(fd);
  }
}

Result<Outlet> Outlet::tcp(int port) {
  const auto listener = listen_here(port);
  if (!listener) return tl::unexpected(listener.error());
  Outlet out;
  out.listener_ = listener->fd;
  out.port_ = listener->port;
  out.where_ = "127.0.0.1:" + std::to_string(out.port_);
  return out;
}

Result<Outlet> Outlet::pseudo_terminal() {
  Outlet out;
  out.is_pty_ = true;
  out.fd_ = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (out.fd_ < 0 || ::grantpt(out.fd_) != 0 || ::unlockpt(out.fd_) != 0) return failed_here(kSay.no_terminal());
  std::array<char, 64> name{};
  if (::ptsname_r(out.fd_, name.data(), name.size()) != 0) return failed_here(kSay.nameless_terminal());
  out.where_ = name.data();
  // Our own hold on the other end: without one, writing fails until the daemon has opened it.
  out.slave_ = ::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  termios raw{};
  if (out.slave_ < 0 || ::tcgetattr(out.slave_, &raw) != 0) return failed_here(kSay.terminal_failed(out.where_));
  ::cfmakeraw(&raw);
  ::tcsetattr(out.slave_, TCSANOW, &raw);
  ::fcntl(out.fd_, F_SETFL, O_NONBLOCK);
  return out;
}

std::string Outlet::feed_table() const {
  if (is_pty_) return "[[feed]]\nkind = \"serial\"\ndevice = \"" + where_ + "\"\nbaud = 115200\nsilence_s = 3.0\n";
  return "[[feed]]\nkind = \"tcp\"\nhost = \"127.0.0.1\"\nport = " + std::to_string(port_) + "\nsilence_s = 3.0\n";
}

bool Outlet::take_reader(int ms) {
  if (is_pty_ || fd_ >= 0) return true;
  if (!is_ready(listener_, POLLIN, ms)) return false;
  fd_ = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC | SOCK_NONBLOCK);
  return fd_ >= 0;
}

bool Outlet::wait_for_reader(int ms) {
  return take_reader(ms);
}

void Outlet::swallow() {
  if (fd_ < 0) return;
  std::array<char, 4096> buffer{};
  while (::read(fd_, buffer.data(), buffer.size()) > 0) {
  }
}

std::size_t Outlet::send(std::string_view bytes) {
  swallow();
  std::size_t taken = 0;
  while (taken < bytes.size() && take_reader(0)) {
    const std::string_view rest = bytes.substr(taken);
    const ssize_t n =
        is_pty_ ? ::write(fd_, rest.data(), rest.size()) : ::send(fd_, rest.data(), rest.size(), MSG_NOSIGNAL);
    if (n > 0) {
      taken += static_cast<std::size_t>(n);
    } else if (errno == EAGAIN || errno == EWOULDBLOCK) {
      if (!is_ready(fd_, POLLOUT, kPatienceMs)) break;
    } else if (errno != EINTR) {
      cut();
      break;
    }
  }
  return taken;
}

void Outlet::cut() {
  if (is_pty_ || fd_ < 0) return;
  ::close(std::exchange(fd_, -1));
}

}  // namespace stillpoint::rehearse
