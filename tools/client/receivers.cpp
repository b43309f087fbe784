#include "client/receivers.hpp"

#include <fcntl.h>
#include <netdb.h>
#include <poll.h>
#include <spawn.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <filesystem>
#include <system_error>
#include <utility>

#include "client/sentences.hpp"
#include "frames/table_link.hpp"
#include "setup/typed.hpp"

namespace stillpoint::client {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

constexpr double kOneRate_s = 2.5;  // a receiver prints once a second
constexpr int kConnect_ms = 5000;
speed_t speed_of(int baud) {
  constexpr std::array<std::pair<int, speed_t>, 9> kSpeeds{{{4800, B4800},
                                                            {9600, B9600},
                                                            {19200, B19200},
                                                            {38400, B38400},
                                                            {57600, B57600},
                                                            {115200, B115200},
                                                            {230400, B230400},
                                                            {460800, B460800},
                                                            {921600, B921600}}};
  const auto* at = std::ranges::find_if(kSpeeds, [baud](const auto& each) { return each.first == baud; });
  return at == kSpeeds.end() ? B0 : at->second;
}

class Handle {
 public:
  explicit Handle(int fd) : fd_(fd) {}
  ~Handle() {
    if (fd_ >= 0) ::close(fd_);
  }
  Handle(Handle&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  Handle& operator=(Handle&&) = delete;
  int get() const noexcept { return fd_; }

 private:
  int fd_;
};

SteadyTime now() {
  return {std::chrono::duration_cast<std::chrono::milliseconds>(Clock::now().time_since_epoch()).count()};
}

/// Hands what comes to `listening` until the time is over, or the link ends; false: it ended.
bool hear(int fd, double seconds, setup::Listening& listening) {
  const auto end = Clock::now() + std::chrono::duration<double>(seconds);
  std::array<char, 4096> piece{};
  while (Clock::now() < end) {
    pollfd waiting{fd, POLLIN, 0};
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - Clock::now()).count();
    if (::poll(&waiting, 1, static_cast<int>(std::max<std::int64_t>(1, left))) <= 0) continue;
    const ssize_t got = ::read(fd, piece.data(), piece.size());
    if (got > 0) listening.push({piece.data(), static_cast<std::size_t>(got)}, now());
    if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR)) return false;
  }
  return true;
}

/// Raw, eight bits, no echo; a pseudo-terminal takes any rate.
void set_rate(int fd, speed_t rate) {
  termios settings{};
  if (::tcgetattr(fd, &settings) != 0) return;
  ::cfmakeraw(&settings);
  settings.c_cflag |= CLOCAL | CREAD;
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  ::cfsetispeed(&settings, rate);
  ::cfsetospeed(&settings, rate);
  ::tcsetattr(fd, TCSANOW, &settings);
  ::tcflush(fd, TCIFLUSH);
}

Result<setup::Heard> listen_to_device(setup::Link& link, double seconds) {
  const Handle device(::open(link.device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  if (device.get() < 0) {
    const int error = errno;
    if (error == EACCES) return fail(kSay.device_forbidden(link.device));
    if (error == ENOENT) return fail(kSay.device_missing(link.device));
    if (error == EBUSY) return fail(kSay.device_in_use(link.device));
    return fail(kSay.device_failed(link.device, std::generic_category().message(error)));
  }
  if (::isatty(device.get()) == 0) return fail(kSay.no_device(link.device));
  // The lock that the daemon takes: another rate would garble what it hears.
  if (::flock(device.get(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) {
    return fail(kSay.device_in_use(link.device));
  }
  if (link.baud > 0 && speed_of(link.baud) == B0) return fail(kSay.rate_unusual(std::to_string(link.baud)));
  setup::Heard last;
  for (const int baud : setup::kUsualBauds) {
    if (link.baud > 0 && link.baud != baud) continue;
    set_rate(device.get(), speed_of(baud));
    setup::Listening listening;
    bool up = hear(device.get(), std::min(kOneRate_s, seconds), listening);
    const bool readable = listening.heard().sentences > 0;
    if (up && readable) up = hear(device.get(), seconds - std::min(kOneRate_s, seconds), listening);
    listening.finish();
    last = listening.heard();
    if (!up && !readable) return fail(kSay.device_gone(link.device));
    if (!readable && last.without_checksum == 0) continue;
    link.baud = baud;
    return last;
  }
  return last;
}

Result<Handle> connected(const setup::Link& link) {
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  const int unknown = ::getaddrinfo(link.host.c_str(), std::to_string(link.port).c_str(), &wanted, &found);
  if (unknown != 0) return fail(kSay.host_unknown(link.host, ::gai_strerror(unknown)));
  std::string why;
  for (const addrinfo* at = found; at != nullptr; at = at->ai_next) {
    Handle one(::socket(at->ai_family, at->ai_socktype | SOCK_CLOEXEC | SOCK_NONBLOCK, at->ai_protocol));
    int error = ::connect(one.get(), at->ai_addr, at->ai_addrlen) == 0 ? 0 : errno;
    if (error == EINPROGRESS) {
      pollfd waiting{one.get(), POLLOUT, 0};
      socklen_t size = sizeof error;
      error = ETIMEDOUT;
      if (::poll(&waiting, 1, kConnect_ms) > 0) ::getsockopt(one.get(), SOL_SOCKET, SO_ERROR, &error, &size);
    }
    if (error == 0) {
      ::freeaddrinfo(found);
      return one;
    }
    why = std::generic_category().message(error);
  }
  ::freeaddrinfo(found);
  return fail(kSay.host_failed(link.host + ':' + std::to_string(link.port), why));
}

std::vector<std::string> names_in(const std::string& folder, const std::vector<std::string>& beginnings) {
  std::vector<std::string> out;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    const std::string name = entry.path().filename().string();
    const auto begins = [&name](const std::string& beginning) { return name.starts_with(beginning); };
    if (std::ranges::any_of(beginnings, begins)) out.push_back(entry.path().string());
  }
  std::ranges::sort(out);
  return out;
}

/// The daemon that was installed, or built, beside this program; else the one that is found by its name.
std::string daemon_program() {
  std::error_code error;
  const fs::path own = fs::read_symlink("/proc/self/exe", error);
  for (const char* beside : {"stillpointd", "../../daemon/stillpointd"}) {
    const fs::path path = own.parent_path() / beside;
    if (!error && fs::exists(path, error)) return path.string();
  }
  return "stillpointd";
}

std::string all_of(int fd) {
  std::string out;
  std::array<char, 4096> piece{};
  for (ssize_t got = ::read(fd, piece.data(), piece.size()); got > 0; got = ::read(fd, piece.data(), piece.size())) {
    out.append(piece.data(), static_cast<std::size_t>(got));
  }
  return out;
}

}  // namespace

std::vector<std::string> receiver_devices() {
  std::vector<std::string> out = names_in("/dev/serial/by-id", {""});
  std::error_code error;
  std::vector<fs::path> named;
  for (const std::string& path : out) named.push_back(fs::canonical(path, error));
  for (const std::string& path : names_in("/dev", {"rfcomm", "ttyACM", "ttyUSB"})) {
    if (std::ranges::find(named, fs::path(path)) == named.end()) out.push_back(path);
  }
  return out;
}

Result<setup::Heard> listen_to(setup::Link& link, double seconds) {
  if (link.is_serial()) return listen_to_device(link, seconds);
  const auto socket = connected(link);
  if (!socket) return tl::unexpected(socket.error());
  setup::Listening listening;
  hear(socket->get(), seconds, listening);
  listening.finish();
  return listening.heard();
}

Result<ntrip::SourceTable> mounts_of(const setup::CasterAsked& caster) {
  if (caster.tls) return fail(kSay.table_behind_tls());
  return frames::table_of(caster.host, caster.port);
}

Result<Checked> check_configuration(const std::string& path) {
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) return fail(kSay.check_failed(std::generic_category().message(errno)));
  const Handle reading(ends[0]);
  std::string program = daemon_program(), option = "--config", file = path, check = "--check";
  std::array<char*, 5> arguments{program.data(), option.data(), file.data(), check.data(), nullptr};
  posix_spawn_file_actions_t actions{};
  ::posix_spawn_file_actions_init(&actions);
  ::posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
  ::posix_spawn_file_actions_adddup2(&actions, ends[1], STDERR_FILENO);
  pid_t child = 0;
  const int error = ::posix_spawnp(&child, program.c_str(), &actions, nullptr, arguments.data(), environ);
  ::posix_spawn_file_actions_destroy(&actions);
  ::close(ends[1]);
  if (error != 0) return fail(kSay.check_failed(std::generic_category().message(error)));
  Checked out;
  out.said = all_of(reading.get());
  int status = 0;
  ::waitpid(child, &status, 0);
  out.exit = WIFEXITED(status) ? WEXITSTATUS(status) : 3;
  return out;
}

UtcTime today_of_machine() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

}  // namespace stillpoint::client
