#include "clients/relay.hpp"

#include <fcntl.h>
#include <pwd.h>
#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/write.hpp>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <set>
#include <vector>

#include "base/number.hpp"
#include "clients/endpoint.hpp"
#include "clients/page_rules.hpp"
#include "clients/sentences.hpp"
#include "common/clock.hpp"
#include "common/file.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

namespace {

constexpr std::size_t kMostReaders = 16;
constexpr std::size_t kMostWaiting = 256 * 1024;
constexpr std::size_t kLongestToken = 256;

bool is_user(const std::string& name, uid_t uid) {
  if (name == std::to_string(uid)) return true;
  std::array<char, 4096> buffer{};
  passwd entry{};
  passwd* found = nullptr;
  return ::getpwnam_r(name.c_str(), &entry, buffer.data(), buffer.size(), &found) == 0 && found != nullptr &&
         found->pw_uid == uid;
}

}  // namespace

struct Relay::State : std::enable_shared_from_this<Relay::State> {
  struct Reader;
  using ReaderPtr = std::shared_ptr<Reader>;

  State(asio::io_context& given_io, config::Relay given, std::function<bool(std::string_view)> sink)
      : io(given_io), settings(std::move(given)), to_receiver(std::move(sink)), acceptor(given_io), master(given_io) {}

  Result<void> listen();
  Result<void> open_terminal();
  void accept();
  void read_terminal();
  void write_terminal(std::string_view bytes);
  /// Passes on what a program with the right to write sends; `who` stands for it in the question who writes.
  void from_writer(const void* who, std::string_view bytes);
  bool may_write(const tcp::socket& socket) const;
  void forget(const ReaderPtr& reader);

  asio::io_context& io;
  config::Relay settings;
  std::function<bool(std::string_view)> to_receiver;
  tcp::acceptor acceptor;
  asio::posix::stream_descriptor master;
  Fd slave;  ///< held open, so that the terminal outlives the programs that use it
  std::array<char, 4096> terminal_buffer{};
  std::set<ReaderPtr> readers;
  const void* writer = nullptr;
  RelayCounters counters;
  bool stopped = false;
};

struct Relay::State::Reader : std::enable_shared_from_this<Relay::State::Reader> {
  Reader(std::shared_ptr<State> given, tcp::socket given_socket)
      : state(std::move(given)), socket(std::move(given_socket)), trusted(state->may_write(socket)) {
    error_code ignored;
    socket.set_option(tcp::no_delay(true), ignored);
    const auto remote = socket.remote_endpoint(ignored);
    name = remote.address().to_string() + ":" + std::to_string(remote.port());
  }

  void send(std::string_view bytes) {
    if (waiting.size() + bytes.size() > kMostWaiting) {
      spdlog::warn("relay: {} does not read; it is dropped", name);
      ++state->counters.readers_dropped;
      return close();
    }
    waiting += bytes;
    if (!writing) write();
  }

  void write() {
    if (waiting.empty() || closed) return;
    writing = true;
    current = std::exchange(waiting, {});
    asio::async_write(socket, asio::buffer(current), [self = shared_from_this()](const error_code& error, std::size_t) {
      self->writing = false;
      if (error) return self->close();
      self->write();
    });
  }

  void read() {
    socket.async_read_some(asio::buffer(buffer), [self = shared_from_this()](const error_code& error, std::size_t n) {
      if (self->closed) return;
      if (n > 0) self->take({self->buffer.data(), n});
      if (error) return self->close();
      self->read();
    });
  }

  void take(std::string_view bytes) {
    if (trusted) return state->from_writer(this, bytes);
    if (!state->settings.token.empty() && !judged) {
      first_line += bytes;
      const auto end = first_line.find('\n');
      if (end == std::string::npos && first_line.size() <= kLongestToken) return;
      return judge(end);
    }
    state->counters.bytes_refused += bytes.size();
    if (!std::exchange(told, true)) spdlog::warn("relay: {} may read only; what it sends is dropped", name);
  }

  void judge(std::size_t end) {
    judged = true;
    std::string_view line = std::string_view(first_line).substr(0, end == std::string::npos ? 0 : end);
    if (line.ends_with('\r')) line.remove_suffix(1);
    trusted = line.starts_with("token ") && same_secret(line.substr(6), state->settings.token);
    const std::string rest = trusted ? first_line.substr(end + 1) : first_line;
    first_line.clear();
    if (!rest.empty()) take(rest);
  }

  void close() {
    if (std::exchange(closed, true)) return;
    error_code ignored;
    socket.close(ignored);
    state->forget(shared_from_this());
  }

  std::shared_ptr<State> state;
  tcp::socket socket;
  std::string name;
  bool trusted = false;
  std::array<char, 4096> buffer{};
  std::string waiting, current, first_line;
  bool judged = false, told = false, writing = false, closed = false;
};

bool Relay::State::may_write(const tcp::socket& socket) const {
  const auto uid = user_of(socket);
  if (!uid) return false;
  if (*uid == ::geteuid() || *uid == 0) return true;
  return std::any_of(settings.writers.begin(), settings.writers.end(),
                     [&](const std::string& name) { return is_user(name, *uid); });
}

void Relay::State::forget(const ReaderPtr& reader) {
  if (writer == reader.get()) writer = nullptr;
  readers.erase(reader);
}

void Relay::State::from_writer(const void* who, std::string_view bytes) {
  if (writer == nullptr) writer = who;
  if (writer != who || !to_receiver(bytes)) {
    counters.bytes_refused += bytes.size();
    return;
  }
  counters.bytes_to_receiver += bytes.size();
  counters.last_write = machine_now();
}

Result<void> Relay::State::listen() {
  const auto endpoint = endpoint_of(settings.listen);
  if (!endpoint) return fail(kSayToClients.relay_no_address(settings.listen));
  error_code error;
  acceptor.open(endpoint->protocol(), error);
  if (!error) acceptor.set_option(tcp::acceptor::reuse_address(true), error);
  if (!error) acceptor.bind(*endpoint, error);
  if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
  if (!error) return {};
  return fail(kSayToClients.relay_not_listening(settings.listen, error.message()));
}

void Relay::State::accept() {
  acceptor.async_accept([self = shared_from_this()](const error_code& error, tcp::socket socket) {
    if (self->stopped || error == asio::error::operation_aborted) return;
    if (!error && self->readers.size() < kMostReaders) {
      const auto reader = std::make_shared<Reader>(self, std::move(socket));
      self->readers.insert(reader);
      reader->read();
    } else if (!error) {
      spdlog::warn("relay: {} programs read already; another one was turned away", kMostReaders);
    }
    self->accept();
  });
}

Result<void> Relay::State::open_terminal() {
  const auto failed = [this] { return fail(kSayToClients.no_terminal(settings.terminal, errno_text(errno))); };
  Fd fd(::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  std::array<char, 128> name{};
  if (!fd || ::grantpt(fd.get()) != 0 || ::unlockpt(fd.get()) != 0 ||
      ::ptsname_r(fd.get(), name.data(), name.size()) != 0) {
    return failed();
  }
  slave = Fd(::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC));
  termios mode{};
  if (!slave || ::tcgetattr(slave.get(), &mode) != 0) return failed();
  ::cfmakeraw(&mode);
  ::tcsetattr(slave.get(), TCSANOW, &mode);
  ::fchmod(slave.get(), 0660);
  struct stat info {};
  if (::lstat(settings.terminal.c_str(), &info) == 0 && !S_ISLNK(info.st_mode)) {
    return fail(kSayToClients.terminal_taken(settings.terminal));
  }
  ::unlink(settings.terminal.c_str());
  if (::symlink(name.data(), settings.terminal.c_str()) != 0) return failed();
  master.assign(fd.release());
  return {};
}

void Relay::State::read_terminal() {
  master.async_read_some(asio::buffer(terminal_buffer),
                         [self = shared_from_this()](const error_code& error, std::size_t n) {
                           if (self->stopped || error) return;
                           self->from_writer(&self->slave, {self->terminal_buffer.data(), n});
                           self->read_terminal();
                         });
}

void Relay::State::write_terminal(std::string_view bytes) {
  const ssize_t n = ::write(master.native_handle(), bytes.data(), bytes.size());
  if (n == static_cast<ssize_t>(bytes.size())) return;
  ::tcflush(slave.get(), TCIFLUSH);  // nobody reads: old bytes help no one
}

Relay::Relay(asio::io_context& io, config::Relay settings, std::function<bool(std::string_view)> to_receiver)
    : state_(std::make_shared<State>(io, std::move(settings), std::move(to_receiver))) {}

Relay::~Relay() {
  stop();
}

Result<void> Relay::open() {
  if (!state_->settings.listen.empty()) {
    if (auto done = state_->listen(); !done) return done;
    state_->accept();
  }
  if (!state_->settings.terminal.empty()) {
    if (auto done = state_->open_terminal(); !done) return done;
    state_->read_terminal();
  }
  return {};
}

void Relay::bytes(std::string_view bytes) {
  const std::vector<State::ReaderPtr> all(state_->readers.begin(), state_->readers.end());
  for (const auto& reader : all) reader->send(bytes);
  if (state_->master.is_open()) state_->write_terminal(bytes);
}

void Relay::stop() {
  if (std::exchange(state_->stopped, true)) return;
  error_code ignored;
  state_->acceptor.close(ignored);
  const std::vector<State::ReaderPtr> all(state_->readers.begin(), state_->readers.end());
  for (const auto& reader : all) reader->close();
  if (state_->master.is_open()) {
    state_->master.close(ignored);
    ::unlink(state_->settings.terminal.c_str());
  }
}

RelayCounters Relay::counters() const {
  RelayCounters out = state_->counters;
  out.readers = state_->readers.size();
  out.has_writer = state_->writer != nullptr;
  return out;
}

}  // namespace stillpoint::daemon
