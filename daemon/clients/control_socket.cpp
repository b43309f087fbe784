#include "clients/control_socket.hpp"

#include <grp.h>
#include <pwd.h>
#include <spdlog/spdlog.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <cerrno>
#include <chrono>
#include <deque>
#include <vector>

#include "clients/guard.hpp"
#include "common/sentences.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/own_file.hpp"
#include "wire/json.hpp"
#include "wire/rpc.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
using boost::system::error_code;
using Socket = asio::local::stream_protocol::socket;
using Frame = std::shared_ptr<const std::string>;

namespace {

constexpr int kInvalidRequest = -32600;
// No further line is taken from a client that has this many calls unanswered, or this much unread.
constexpr std::size_t kUnreadReplies = 32;
constexpr std::size_t kUnreadBytes = 256 * 1024;

Frame frame_of(std::string text) {
  text += '\n';
  return std::make_shared<const std::string>(std::move(text));
}

Frame notification(std::string_view method, std::string_view params) {
  std::string text;
  text.reserve(64 + params.size());
  text.append(R"({"jsonrpc":"2.0","method":")").append(method).append(R"(","params":)").append(params).append("}");
  return frame_of(std::move(text));
}

/// Frames that wait to be written, counted in the bytes of all clients together.
class Outbox {
 public:
  explicit Outbox(std::size_t& bytes_of_all) : bytes_of_all_(bytes_of_all) {}
  bool is_empty() const noexcept { return frames_.empty(); }
  std::size_t count() const noexcept { return frames_.size(); }
  std::size_t bytes() const noexcept { return bytes_; }
  const Frame& first() const { return frames_.front(); }
  void push(const Frame& frame) {
    frames_.push_back(frame);
    bytes_ += frame->size();
    bytes_of_all_ += frame->size();
  }
  void pop() {
    bytes_ -= frames_.front()->size();
    bytes_of_all_ -= frames_.front()->size();
    frames_.pop_front();
  }
  void clear() {
    bytes_of_all_ -= std::exchange(bytes_, 0);
    frames_.clear();
  }

 private:
  std::size_t& bytes_of_all_;
  std::deque<Frame> frames_;
  std::size_t bytes_ = 0;
};

bool is_member(const char* user, gid_t first, gid_t wanted) {
  std::array<gid_t, 256> groups{};
  int count = static_cast<int>(groups.size());
  if (::getgrouplist(user, first, groups.data(), &count) < 0) return first == wanted;
  return std::find(groups.begin(), groups.begin() + count, wanted) != groups.begin() + count;
}

/// Credentials are the kernel's, taken when the connection was made.
Peer peer_of(int fd, gid_t group) {
  ucred credentials{};
  socklen_t size = sizeof credentials;
  if (::getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &credentials, &size) != 0)
    return {static_cast<uid_t>(-1), "unknown", false};
  Peer peer{credentials.uid, std::to_string(credentials.uid), false};
  peer.may_change = credentials.uid == 0 || credentials.uid == ::geteuid() || credentials.gid == group;
  std::array<char, 4096> buffer{};
  passwd entry{};
  passwd* found = nullptr;
  if (::getpwuid_r(credentials.uid, &entry, buffer.data(), buffer.size(), &found) == 0 && found != nullptr) {
    peer.user = found->pw_name;
    peer.may_change = peer.may_change || is_member(found->pw_name, found->pw_gid, group);
  }
  return peer;
}

}  // namespace

class ControlSocket::Client : public std::enable_shared_from_this<Client> {
 public:
  Client(ControlSocket& server, Socket socket)
      : server_(server),
        socket_(std::move(socket)),
        peer_(peer_of(socket_.native_handle(), server.group_)),
        out_(server.unread_bytes_) {}

  void start() {
    error_code ignored;
    socket_.non_blocking(true, ignored);
    read();
  }

  void send(std::string text) {
    if (closed_) return;
    out_.push(frame_of(std::move(text)));
    write();
    server_.relieve();
  }

  void send_status(const Frame& frame) {
    if (!following_ || closed_) return;
    status_ = frame;
    write();
  }

  void send_alert(const Frame& frame) {
    if (!following_ || closed_) return;
    if (out_.count() >= kQueue) {
      spdlog::warn("a client of {} does not read its alerts; it is dropped", peer_.user);
      return close();
    }
    out_.push(frame);
    write();
  }

  std::size_t unread_bytes() const noexcept { return out_.bytes(); }
  const std::string& user() const noexcept { return peer_.user; }
  bool following() const noexcept { return following_; }

  /// No more requests; closes once everything asked for is answered and sent.
  void finish() {
    ended_ = true;
    following_ = false;
    status_.reset();
    close_when_done();
  }

  void close() {
    if (std::exchange(closed_, true)) return;
    error_code ignored;
    socket_.close(ignored);
    out_.clear();
    asio::post(server_.io_, [self = shared_from_this()] { self->server_.forget(self); });
  }

 private:
  bool is_full() const noexcept {
    return unanswered_ >= kUnreadReplies || out_.count() >= kUnreadReplies || out_.bytes() >= kUnreadBytes;
  }

  void read() {
    if (reading_ || closed_ || ended_ || read_all_ || is_full()) return;
    reading_ = true;
    socket_.async_read_some(asio::buffer(buffer_), [self = shared_from_this()](const error_code& error, std::size_t n) {
      self->reading_ = false;
      self->on_read(error, n);
    });
  }

  void on_read(const error_code& error, std::size_t n) {
    if (closed_) return;
    in_.append(buffer_.data(), n);
    if (error && error != asio::error::eof) return close();
    read_all_ = error == asio::error::eof;
    go_on();
  }

  /// Takes what lines it may, and then more bytes; called again whenever something was read or answered.
  void go_on() {
    if (std::exchange(taking_, true)) return;
    take_lines();
    taking_ = false;
    if (read_all_ && !ended_ && !is_full()) return finish();
    read();
  }

  void take_lines() {
    std::size_t begin = 0;
    while (!closed_ && !ended_ && !is_full()) {
      const auto end = in_.find('\n', begin);
      const std::size_t length = (end == std::string::npos ? in_.size() : end) - begin;
      if (length > wire::kMaxMessageBytes) {
        send(wire::error_response(nullptr, kInvalidRequest, kSay.long_line(std::to_string(wire::kMaxMessageBytes))));
        return finish();
      }
      if (end == std::string::npos) break;
      std::string line = in_.substr(begin, length);
      begin = end + 1;
      if (!line.empty() && line.back() == '\r') line.pop_back();
      if (!line.empty()) call(std::move(line));
    }
    in_.erase(0, begin);
  }

  void call(std::string line) {
    ++unanswered_;
    Call call;
    call.line = std::move(line);
    call.peer = peer_;
    call.reply = [weak = weak_from_this(), open = std::make_shared<bool>(true)](std::string text) {
      const auto self = weak.lock();
      if (self && std::exchange(*open, false)) self->answer(std::move(text));
    };
    call.follow = [weak = weak_from_this()](const std::string& first) {
      const auto self = weak.lock();
      if (!self || self->ended_) return;
      self->following_ = true;
      self->send_status(notification("status", first));
    };
    handle_guarded(server_.handler_, call);
  }

  /// An empty text answers a notification: nothing is sent.
  void answer(std::string text) {
    --unanswered_;
    if (!text.empty()) send(std::move(text));
    close_when_done();
    go_on();
  }

  /// Nearly always the socket takes a frame as a whole. Only the rest of a frame is queued, since queueing costs far
  /// more.
  void write() {
    while (!writing_ && !closed_) {
      const bool queued = !out_.is_empty();
      const Frame frame = queued ? out_.first() : std::exchange(status_, nullptr);
      if (!frame) return close_when_done();
      error_code error;
      const std::size_t sent = socket_.write_some(asio::buffer(*frame), error);
      if (error && error != asio::error::would_block) return close();
      if (sent < frame->size()) return write_rest(frame, sent, queued);
      if (queued) out_.pop();
    }
  }

  void write_rest(const Frame& frame, std::size_t sent, bool queued) {
    writing_ = true;
    asio::async_write(socket_, asio::buffer(*frame) + sent,
                      [self = shared_from_this(), frame, queued](const error_code& error, std::size_t) {
                        self->writing_ = false;
                        if (error || self->closed_) return self->close();
                        if (queued) self->out_.pop();
                        self->write();
                        self->go_on();
                      });
  }

  void close_when_done() {
    if (ended_ && unanswered_ == 0 && out_.is_empty() && !writing_) close();
  }

  ControlSocket& server_;
  Socket socket_;
  Peer peer_;
  std::array<char, 4096> buffer_{};
  std::string in_;
  Outbox out_;
  Frame status_;
  std::size_t unanswered_ = 0;
  bool following_ = false, reading_ = false, writing_ = false, ended_ = false, closed_ = false;
  bool read_all_ = false;  ///< the client sends nothing more
  bool taking_ = false;    ///< its lines are being taken
};

std::optional<std::string> socket_path_fault(const std::string& path) {
  const std::size_t limit = sizeof(sockaddr_un{}.sun_path) - 1;
  if (path.size() <= limit) return std::nullopt;
  return kSay.long_socket_path(std::to_string(path.size()), std::to_string(limit), path);
}

ControlSocket::ControlSocket(asio::io_context& io, std::string path) : io_(io), path_(std::move(path)), acceptor_(io) {}

ControlSocket::~ControlSocket() {
  stop_accepting();
  close_now();
}

Result<void> ControlSocket::listen() {
  const std::string taken = kSay.socket_taken(path_);
  // Two daemons that start at the same moment must not take each other's socket for a left-over one.
  const int lock = pointbook::open_own_file(path_ + ".lock");
  if (lock < 0) {
    return fail(kSay.socket_lock(path_, path_ + ".lock", pointbook::disk_words(lock)));
  }
  lock_ = Fd(lock);
  if (::flock(lock_.get(), LOCK_EX | LOCK_NB) != 0) return fail(taken);
  error_code error;
  const asio::local::stream_protocol::endpoint endpoint(path_);
  struct stat info {};
  if (::lstat(path_.c_str(), &info) == 0) {
    if (!S_ISSOCK(info.st_mode)) return fail(kSay.no_socket(path_));
    Socket probe(io_);
    probe.connect(endpoint, error);
    if (!error) return fail(taken);
    ::unlink(path_.c_str());
  }
  acceptor_.open(endpoint.protocol(), error);
  const mode_t before = ::umask(0117);
  if (!error) acceptor_.bind(endpoint, error);
  ::umask(before);
  if (!error) acceptor_.listen(asio::socket_base::max_listen_connections, error);
  if (error) return fail(kSay.socket_failed(path_, error.message()));
  if (::lstat(path_.c_str(), &info) == 0) {
    inode_ = info.st_ino;
    group_ = info.st_gid;
  }
  return {};
}

void ControlSocket::start(std::function<void(const Call&)> handler) {
  handler_ = std::move(handler);
  accept();
}

void ControlSocket::accept() {
  acceptor_.async_accept([this](const error_code& error, Socket socket) {
    if (error == asio::error::operation_aborted || !acceptor_.is_open()) return;
    if (error) {
      // Out of descriptors: try again when some client may have gone.
      spdlog::warn("a client could not be accepted: {}", error.message());
      const auto pause = std::make_shared<asio::steady_timer>(io_, std::chrono::milliseconds(100));
      pause->async_wait([this, pause](const error_code& stopped) {
        if (!stopped && acceptor_.is_open()) accept();
      });
      return;
    }
    if (clients_.size() >= kMostClients) {
      refuse(std::move(socket));
    } else {
      const auto client = std::make_shared<Client>(*this, std::move(socket));
      clients_.insert(client);
      client->start();
    }
    accept();
  });
}

void ControlSocket::refuse(Socket socket) {
  const Frame frame =
      frame_of(wire::error_response(nullptr, kInvalidRequest, kSay.many_clients(std::to_string(kMostClients))));
  error_code ignored;
  socket.non_blocking(true, ignored);
  socket.write_some(asio::buffer(*frame), ignored);
}

void ControlSocket::forget(const std::shared_ptr<Client>& client) {
  clients_.erase(client);
}

/// The client that lets the most lie is dropped first, so that those who read still get their answers.
void ControlSocket::relieve() {
  while (unread_bytes_ > kMostUnreadBytes) {
    const auto worst = std::max_element(clients_.begin(), clients_.end(), [](const auto& a, const auto& b) {
      return a->unread_bytes() < b->unread_bytes();
    });
    spdlog::warn("a client of {} does not read what it asked for ({} bytes wait); it is dropped", (*worst)->user(),
                 (*worst)->unread_bytes());
    (*worst)->close();
  }
}

bool ControlSocket::is_heard() const {
  return std::any_of(clients_.begin(), clients_.end(), [](const auto& client) { return client->following(); });
}

void ControlSocket::status(const StatusNews& now) {
  const Frame frame = notification("status", now.json);
  for (const auto& client : clients_) client->send_status(frame);
}

void ControlSocket::alert(const session::Alert& alert) {
  if (!is_heard()) return;
  const Frame frame = notification("alert", wire::to_json(alert));
  for (const auto& client : clients_) client->send_alert(frame);
}

void ControlSocket::stop_accepting() {
  error_code ignored;
  acceptor_.close(ignored);
  struct stat info {};
  if (inode_ != 0 && ::lstat(path_.c_str(), &info) == 0 && info.st_ino == inode_) ::unlink(path_.c_str());
  inode_ = 0;
}

void ControlSocket::finish_clients() {
  const std::vector<std::shared_ptr<Client>> all(clients_.begin(), clients_.end());
  for (const auto& client : all) client->finish();
}

void ControlSocket::close_now() {
  const std::vector<std::shared_ptr<Client>> all(clients_.begin(), clients_.end());
  for (const auto& client : all) client->close();
  clients_.clear();
}

}  // namespace stillpoint::daemon
