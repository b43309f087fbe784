#include "caster.hpp"

#include <fcntl.h>
#include <netdb.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "base/number.hpp"
#include "ntrip/reply.hpp"
#include "ntrip/request.hpp"
#include "page.hpp"
#include "sentences.hpp"

namespace stillpoint::frames {
namespace {

constexpr int kPatienceMs = 10'000;
constexpr double kMetresPerKm = 1000;

class Socket {
 public:
  explicit Socket(int fd) noexcept : fd_(fd) {}
  Socket(Socket&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Socket& operator=(Socket&&) = delete;
  ~Socket() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const noexcept { return fd_; }

 private:
  int fd_;
};

bool is_ready(int fd, short what) {
  pollfd look{fd, what, 0};
  return ::poll(&look, 1, kPatienceMs) == 1;
}

/// Connected within the patience, or nothing.
std::optional<Socket> connected(const addrinfo& to) {
  Socket out(::socket(to.ai_family, to.ai_socktype | SOCK_CLOEXEC | SOCK_NONBLOCK, to.ai_protocol));
  if (out.get() < 0) return std::nullopt;
  if (::connect(out.get(), to.ai_addr, to.ai_addrlen) != 0) {
    int why = 0;
    socklen_t size = sizeof why;
    if (errno != EINPROGRESS || !is_ready(out.get(), POLLOUT)) return std::nullopt;
    if (::getsockopt(out.get(), SOL_SOCKET, SO_ERROR, &why, &size) != 0 || why != 0) return std::nullopt;
  }
  return out;
}

Result<Socket> reached(const std::string& host, int port) {
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  if (::getaddrinfo(host.c_str(), std::to_string(port).c_str(), &hints, &found) != 0) return fail(kSay.no_host(host));
  const std::unique_ptr<addrinfo, void (*)(addrinfo*)> all(found, ::freeaddrinfo);
  for (const addrinfo* each = found; each != nullptr; each = each->ai_next) {
    if (auto socket = connected(*each)) return std::move(*socket);
  }
  return fail(kSay.no_answer_from(host, std::to_string(port)));
}

Result<std::string> asked(const ntrip::Request& request) {
  auto socket = reached(request.host, request.port);
  if (!socket) return tl::unexpected(socket.error());
  const std::string text = ntrip::text_of(request);
  if (::send(socket->get(), text.data(), text.size(), MSG_NOSIGNAL) != static_cast<ssize_t>(text.size())) {
    return fail(kSay.no_answer_from(request.host, std::to_string(request.port)));
  }
  ntrip::Reply reply;
  std::string corrections;
  std::array<char, 8192> buffer{};
  while (!reply.has_ended() && is_ready(socket->get(), POLLIN)) {
    const ssize_t size = ::recv(socket->get(), buffer.data(), buffer.size(), 0);
    if (size <= 0) break;
    reply.push({buffer.data(), static_cast<std::size_t>(size)}, corrections);
    if (reply.outcome() == ntrip::Outcome::corrections) break;
  }
  if (reply.outcome() == ntrip::Outcome::table) return reply.table();
  const std::string fault = reply.fault(true);
  return fail(fault.empty() ? kSay.no_table(request.host) : fault);
}

struct Row {
  const ntrip::Mount* mount;
  std::optional<double> far_m;
};

std::string line_of(const Row& row) {
  const ntrip::Mount& mount = *row.mount;
  std::string wants;
  if (mount.wants_position) wants += kSay.wants_position();
  if (mount.wants_login) wants += (wants.empty() ? "" : ", ") + kSay.wants_login();
  const std::string far = row.far_m ? fixed(*row.far_m / kMetresPerKm, 1) + " km" : "?";
  std::string line = right(far, 11) + "  " + left(mount.name, 18) + "  " + left(mount.format, 10) + "  " +
                     (mount.is_network ? "network" : "       ") + "  " + wants;
  line.erase(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

}  // namespace

std::string mounts_page(const ntrip::SourceTable& table, const std::string& caster, const geodesy::Geographic& place) {
  std::vector<Row> rows;
  const geodesy::LocalFrame here(place);
  for (const ntrip::Mount& mount : table.mounts) {
    Row row{&mount, {}};
    if (mount.latitude_deg && mount.longitude_deg) {
      const geodesy::Enu off = here.to_enu({*mount.latitude_deg, *mount.longitude_deg, place.ellipsoid_height_m});
      row.far_m = std::hypot(off.east_m, off.north_m, off.up_m);
    }
    rows.push_back(row);
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const Row& a, const Row& b) { return a.far_m && (!b.far_m || *a.far_m < *b.far_m); });
  std::string out = kSay.mounts(caster, std::to_string(rows.size())) + "\n\n";
  if (!rows.empty()) out += std::string(kLaidOut.mount_columns()) + "\n";
  for (const Row& row : rows) out += line_of(row);
  if (table.left_out > 0) out += "\n" + kSay.left_out(std::to_string(table.left_out)) + "\n";
  return out + "\n" + wrapped(kSay.table_proves_nothing());
}

Result<std::string> mounts_of(const std::string& caster, const geodesy::Geographic& place) {
  const auto colon = caster.rfind(':');
  const auto port = colon == std::string::npos ? std::nullopt : parse_integer(caster.substr(colon + 1));
  if (!port || *port < 1 || *port > 65535) return fail(kSay.no_caster_name(caster));
  std::string host = caster.substr(0, colon);
  if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
  ntrip::Request request{ntrip::Version::v2, host, static_cast<int>(*port), ""};
  if (!ntrip::request_fault(request).empty()) return fail(kSay.no_caster_name(caster));
  auto table = asked(request);
  if (!table) {  // a caster of the first version may not understand the second
    request.version = ntrip::Version::v1;
    if (auto older = asked(request)) table = std::move(older);
  }
  if (!table) return tl::unexpected(table.error());
  return mounts_page(ntrip::source_table_of(*table), caster, place);
}

}  // namespace stillpoint::frames
