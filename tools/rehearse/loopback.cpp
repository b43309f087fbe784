#include "loopback.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <system_error>

#include "sentences.hpp"
#include "stop.hpp"

namespace stillpoint::rehearse {

Result<Listener> listen_here(int port) {
  Listener out{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0), port};
  const int yes = 1;
  ::setsockopt(out.fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  socklen_t size = sizeof address;
  auto* generic = reinterpret_cast<sockaddr*>(&address);
  if (::bind(out.fd, generic, size) != 0 || ::listen(out.fd, 1) != 0) {
    const auto failed = failed_here(kSay.cannot_listen(std::to_string(port)));
    ::close(out.fd);
    return failed;
  }
  ::getsockname(out.fd, generic, &size);
  out.port = ntohs(address.sin_port);
  return out;
}

/// Looked at in short slices: a signal may come just before the wait begins.
bool is_ready(int fd, short what, int ms) {
  constexpr int kSliceMs = 100;
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

tl::unexpected<Error> failed_here(const std::string& what) {
  return fail(what + ": " + std::generic_category().message(errno));
}

}  // namespace stillpoint::rehearse
