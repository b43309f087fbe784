#include "client/link.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

#include "client/sentences.hpp"
#include "wire/rpc.hpp"

namespace stillpoint::client {
namespace {

constexpr std::size_t kMostWaiting = 1000;

// A disk that takes so many times as long as other answers may is slow, and no reason to give up.
constexpr int kSlowDisk = 6;

/// Answered only when the disk has it.
bool waits_for_disk(std::string_view method) noexcept {
  return method == "keep" || method == "resolve" || method == "close_day";
}

Failure no_daemon(const std::string& path, const std::string& why) {
  return {kExitNoDaemon, kSay.no_daemon(path, why)};
}

Failure connect_failure(const std::string& path, int error) {
  switch (error) {
    case ENOENT:
      return no_daemon(path, kSay.no_socket_there());
    case ECONNREFUSED:
      return no_daemon(path, kSay.nothing_answers());
    case EACCES:
      return no_daemon(path, kSay.no_right());
    case ENOTSOCK:
      return no_daemon(path, kSay.no_socket());
    default:
      return no_daemon(path, std::generic_category().message(error));
  }
}

int ms_until(std::chrono::steady_clock::time_point until) {
  const auto left = std::chrono::ceil<std::chrono::milliseconds>(until - std::chrono::steady_clock::now()).count();
  return static_cast<int>(std::clamp<long long>(left, 0, 3600'000));
}

Outcome<sockaddr_un> address_of(const std::string& path) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  if (path.size() >= sizeof(address.sun_path)) {
    return tl::unexpected(Failure{kExitUsage, kSay.path_too_long(std::to_string(path.size()),
                                                                 std::to_string(sizeof(address.sun_path) - 1), path)});
  }
  std::copy(path.begin(), path.end(), std::begin(address.sun_path));
  return address;
}

}  // namespace

Link::Link(int fd, std::string path, const Limits& limits) : fd_(fd), path_(std::move(path)), limits_(limits) {}
Link::~Link() {
  if (fd_ >= 0) ::close(fd_);
}
Link::Link(Link&& other) noexcept {
  *this = std::move(other);
}
Link& Link::operator=(Link&& other) noexcept {
  std::swap(fd_, other.fd_);
  std::swap(path_, other.path_);
  std::swap(limits_, other.limits_);
  std::swap(received_, other.received_);
  std::swap(searched_, other.searched_);
  std::swap(waiting_, other.waiting_);
  std::swap(last_id_, other.last_id_);
  return *this;
}

Failure Link::no_answer(int patience_ms) const {
  return {kExitNoDaemon, kSay.no_answer(path_, std::to_string(patience_ms / 1000))};
}
Failure Link::gone() const {
  return {kExitNoDaemon, kSay.line_closed(path_)};
}

Outcome<Link> Link::open(const std::string& path, const Limits& limits) {
  const auto address = address_of(path);
  if (!address) return tl::unexpected(address.error());
  const int fd = ::socket(AF_UNIX, SOCK_STREAM, 0);
  if (fd < 0) return tl::unexpected(no_daemon(path, std::generic_category().message(errno)));
  Link link(fd, path, limits);
  ::fcntl(fd, F_SETFD, FD_CLOEXEC);
  ::fcntl(fd, F_SETFL, O_NONBLOCK);
  const auto until = Clock::now() + std::chrono::milliseconds(limits.answer_ms);
  // A daemon that takes no more connections leaves us with EAGAIN: try again until the deadline.
  while (::connect(fd, reinterpret_cast<const sockaddr*>(&*address), sizeof(*address)) != 0) {
    if (errno == EINTR) continue;
    if (errno != EAGAIN) return tl::unexpected(connect_failure(path, errno));
    if (ms_until(until) == 0) return tl::unexpected(link.no_answer(limits.answer_ms));
    ::poll(nullptr, 0, std::min(50, ms_until(until)));
  }
  return link;
}

Outcome<Link::Came> Link::wait_for(short events, Clock::time_point until, int key_fd) {
  for (;;) {
    std::array<pollfd, 3> fds{{{fd_, events, 0}, {limits_.stop_fd, POLLIN, 0}, {key_fd, POLLIN, 0}}};
    const int ready = ::poll(fds.data(), fds.size(), ms_until(until));
    if (ready < 0 && errno == EINTR) continue;
    if (ready < 0) return tl::unexpected(gone());
    if (fds[1].revents != 0) return Came::stop;
    if (fds[2].revents != 0) return Came::key;
    if (fds[0].revents != 0) return Came::message;
    if (ms_until(until) == 0) return Came::nothing;
  }
}

Outcome<void> Link::send(const std::string& line, Clock::time_point until) {
  std::string_view rest = line;
  while (!rest.empty()) {
    const auto sent = ::send(fd_, rest.data(), rest.size(), MSG_NOSIGNAL);
    if (sent >= 0) {
      rest.remove_prefix(static_cast<std::size_t>(sent));
    } else if (errno == EAGAIN) {
      const auto came = wait_for(POLLOUT, until);
      if (!came) return tl::unexpected(came.error());
      if (*came != Came::message) return tl::unexpected(no_answer(limits_.answer_ms));
    } else if (errno != EINTR) {
      return tl::unexpected(gone());
    }
  }
  return {};
}

/// True when bytes came, false when none are there at the moment.
Outcome<bool> Link::take_bytes() {
  std::array<char, 65536> buffer;  // NOLINT(cppcoreguidelines-pro-type-member-init): recv fills it
  for (;;) {
    const auto count = ::recv(fd_, buffer.data(), buffer.size(), 0);
    if (count > 0) {
      received_.append(buffer.data(), static_cast<std::size_t>(count));
      if (received_.size() <= wire::kMaxReplyBytes) return true;
      return tl::unexpected(Failure{kExitNoDaemon, kSay.endless_answer(path_)});
    }
    if (count == 0) return tl::unexpected(gone());
    if (errno == EAGAIN) return false;
    if (errno != EINTR) return tl::unexpected(gone());
  }
}

bool Link::take_line(std::string& line) {
  const auto end = received_.find('\n', searched_);
  searched_ = received_.size();
  if (end == std::string::npos) return false;
  line = received_.substr(0, end);
  received_.erase(0, end + 1);
  searched_ = 0;
  return true;
}

Outcome<Link::Came> Link::read_message(Message& out, Clock::time_point until, int key_fd) {
  std::string line;
  while (!take_line(line)) {
    const auto came = wait_for(POLLIN, until, key_fd);
    if (!came || *came != Came::message) return came;
    if (const auto taken = take_bytes(); !taken) return tl::unexpected(taken.error());
  }
  const auto reply = wire::parse_reply(line);
  if (!reply) return tl::unexpected(Failure{kExitNoDaemon, kSay.no_daemon(path_, reply.error())});
  if (reply->error) {
    const long long asked = reply->id.is_number_integer() ? reply->id.get<long long>() : 0;
    return tl::unexpected(Failure{kExitRefused, *reply->error, Json(reply->error_data), asked});
  }
  out = Message{};
  out.method = reply->method;
  if (reply->id.is_number_integer()) out.id = reply->id.get<long long>();
  out.text = raw_member(line, reply->method.empty() ? "result" : "params");
  out.value = Json::parse(out.text, nullptr, false);
  return Came::message;
}

Outcome<long long> Link::ask(const std::string& method, const nlohmann::json& params) {
  const long long id = ++last_id_;
  const auto until = Clock::now() + std::chrono::milliseconds(limits_.answer_ms);
  const auto sent = send(wire::request(id, method, params) + "\n", until);
  if (!sent) return tl::unexpected(sent.error());
  return id;
}

Outcome<Message> Link::call(const std::string& method, const nlohmann::json& params) {
  const int patience_ms = limits_.answer_ms * (waits_for_disk(method) ? kSlowDisk : 1);
  const auto until = Clock::now() + std::chrono::milliseconds(patience_ms);
  const auto id = ask(method, params);
  if (!id) return tl::unexpected(id.error());
  for (;;) {
    Message message;
    const auto came = read_message(message, until);
    if (!came) return tl::unexpected(came.error());
    if (*came == Came::stop) return tl::unexpected(Failure{kExitRefused, kSay.stopped()});
    if (*came == Came::nothing) return tl::unexpected(no_answer(patience_ms));
    if (message.method.empty() && message.id == *id) return message;
    if (!message.method.empty() && waiting_.size() < kMostWaiting) waiting_.push_back(std::move(message));
  }
}

Outcome<Link::Came> Link::next(Message& out, int wait_ms, int key_fd) {
  if (waiting_.empty()) return read_message(out, Clock::now() + std::chrono::milliseconds(wait_ms), key_fd);
  out = std::move(waiting_.front());
  waiting_.pop_front();
  return Came::message;
}

}  // namespace stillpoint::client
