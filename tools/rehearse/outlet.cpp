#include "outlet.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>
#include <system_error>
#include <utility>

#include "sentences.hpp"
#include "stop.hpp"

namespace stillpoint::rehearse {
namespace {

constexpr int kPatienceMs = 5000;  // of a reader that does not read
constexpr int kSliceMs = 100;

/// False also when a stop was asked for. Looked at in short slices: a signal may come just before the wait begins.
bool ready(int fd, short what, int ms) {
  pollfd one{fd, what, 0};
  int left_ms = ms;
  do {
    const int slice_ms = std::min(left_ms, kSliceMs);
    const int n = ::poll(&one, 1, slice_ms);
    if (n != 0 && (n > 0 || errno != EINTR)) return n > 0;
    left_ms -= slice_ms;
  } while (left_ms > 0 && !stop_asked());
  return false;
}

tl::unexpected<Error> failed(const std::string& what) {
  return fail(what + ": " + std::generic_category().message(errno));
}

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
  Outlet out;
  out.listener_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const int yes = 1;
  ::setsockopt(out.listener_, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  socklen_t size = sizeof address;
  auto* generic = reinterpret_cast<sockaddr*>(&address);
  if (::bind(out.listener_, generic, size) != 0 || ::listen(out.listener_, 1) != 0) {
    return failed(kSay.cannot_listen(std::to_string(port)));
  }
  ::getsockname(out.listener_, generic, &size);
  out.port_ = ntohs(address.sin_port);
  out.where_ = "127.0.0.1:" + std::to_string(out.port_);
  return out;
}

Result<Outlet> Outlet::pseudo_terminal() {
  Outlet out;
  out.is_pty_ = true;
  out.fd_ = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (out.fd_ < 0 || ::grantpt(out.fd_) != 0 || ::unlockpt(out.fd_) != 0) return failed(kSay.no_terminal());
  std::array<char, 64> name{};
  if (::ptsname_r(out.fd_, name.data(), name.size()) != 0) return failed(kSay.nameless_terminal());
  out.where_ = name.data();
  // Our own hold on the other end: without one, writing fails until the daemon has opened it.
  out.slave_ = ::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  termios raw{};
  if (out.slave_ < 0 || ::tcgetattr(out.slave_, &raw) != 0) return failed(kSay.terminal_failed(out.where_));
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
  if (!ready(listener_, POLLIN, ms)) return false;
  fd_ = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC | SOCK_NONBLOCK);
  return fd_ >= 0;
}

bool Outlet::wait_for_reader(int ms) {
  return take_reader(ms);
}

std::size_t Outlet::send(std::string_view bytes) {
  std::size_t taken = 0;
  while (taken < bytes.size() && take_reader(0)) {
    const std::string_view rest = bytes.substr(taken);
    const ssize_t n =
        is_pty_ ? ::write(fd_, rest.data(), rest.size()) : ::send(fd_, rest.data(), rest.size(), MSG_NOSIGNAL);
    if (n > 0) {
      taken += static_cast<std::size_t>(n);
    } else if (errno == EAGAIN || errno == EWOULDBLOCK) {
      if (!ready(fd_, POLLOUT, kPatienceMs)) break;
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
