#include "caster.hpp"

#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <utility>

#include "loopback.hpp"
#include "stop.hpp"

namespace stillpoint::rehearse {
namespace {

constexpr std::size_t kLongestRequest = 4096;
constexpr int kLookMs = 50;
constexpr std::string_view kAnswer = "ICY 200 OK\r\n\r\n";

bool would_wait() noexcept {
  return errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR;
}

}  // namespace

Caster::Caster(Caster&& o) noexcept
    : listener_(std::exchange(o.listener_, -1)),
      fd_(std::exchange(o.fd_, -1)),
      port_(o.port_),
      request_(std::move(o.request_)),
      is_answered_(o.is_answered_) {}

Caster::~Caster() {
  hang_up();
  if (listener_ >= 0) ::close(listener_);
}

Result<Caster> Caster::open() {
  const auto listener = listen_here(0);
  if (!listener) return tl::unexpected(listener.error());
  Caster out;
  out.listener_ = listener->fd;
  out.port_ = listener->port;
  return out;
}

std::string Caster::table() const {
  return "[corrections]\ncaster = \"127.0.0.1:" + std::to_string(port_) + "\"\nmount = \"TRAINING\"\nversion = 1\n";
}

bool Caster::wait_for_reader(int ms) {
  for (int left_ms = ms; left_ms > 0 && !is_answered_ && !stop_asked(); left_ms -= kLookMs) {
    (void)is_ready(fd_ >= 0 ? fd_ : listener_, POLLIN, kLookMs);
    attend();
  }
  return is_answered_;
}

void Caster::send(std::string_view bytes) {
  attend();
  if (!is_answered_ || bytes.empty()) return;
  const ssize_t n = ::send(fd_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
  if (n < 0 && !would_wait()) hang_up();
}

void Caster::attend() {
  if (fd_ < 0 && is_ready(listener_, POLLIN, 0))
    fd_ = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC | SOCK_NONBLOCK);
  if (fd_ < 0) return;
  std::array<char, 1024> buffer{};
  const ssize_t n = ::recv(fd_, buffer.data(), buffer.size(), 0);
  if (n == 0 || (n < 0 && !would_wait())) return hang_up();
  if (n < 0 || is_answered_) return;  // positions that come up are not looked at
  request_.append(buffer.data(), static_cast<std::size_t>(n));
  if (request_.size() > kLongestRequest) return hang_up();
  if (request_.find("\r\n\r\n") == std::string::npos) return;
  is_answered_ = ::send(fd_, kAnswer.data(), kAnswer.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(kAnswer.size());
  if (!is_answered_) hang_up();
}

void Caster::hang_up() {
  if (fd_ >= 0) ::close(std::exchange(fd_, -1));
  request_.clear();
  is_answered_ = false;
}

}  // namespace stillpoint::rehearse
