#include "processes.hpp"
#include "sentences.hpp"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <fstream>
#include <sstream>
#include <system_error>
#include <utility>

namespace stillpoint::rehearse {
namespace {

constexpr int kReadyMs = 20'000, kStopMs = 5000, kLookMs = 20;

struct Started {
  pid_t pid = -1;
  int out = -1;  ///< reading end of its standard output
};

/// Standard error goes to `error_file`, or with an empty name where the output goes.
Started start(const std::string& program, const std::vector<std::string>& arguments, const std::string& error_file) {
  std::array<int, 2> pipe{};
  Started out;
  if (::pipe2(pipe.data(), O_CLOEXEC) != 0) return out;
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, pipe[1], STDOUT_FILENO);
  if (error_file.empty()) {
    posix_spawn_file_actions_adddup2(&actions, pipe[1], STDERR_FILENO);
  } else {
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, error_file.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
  }
  std::vector<std::string> words{program};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  // A group of its own: Ctrl-C is for us, and we stop the daemon when the day's debrief has been made.
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);
  posix_spawnattr_setpgroup(&attributes, 0);
  const int failed = ::posix_spawnp(&out.pid, program.c_str(), &actions, &attributes, argv.data(), environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
  ::close(pipe[1]);
  out.out = pipe[0];
  if (failed != 0) {
    errno = failed;
    out.pid = -1;
  }
  return out;
}

/// What comes until `stop` is in it, the other end closes, or the time is over.
std::string read_until(int fd, const char* stop, int ms) {
  std::string out;
  pollfd one{fd, POLLIN, 0};
  while (out.find(stop) == std::string::npos) {
    const int n = ::poll(&one, 1, ms);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) break;
    std::array<char, 4096> buffer{};
    const ssize_t got = ::read(fd, buffer.data(), buffer.size());
    if (got <= 0) break;
    out.append(buffer.data(), static_cast<std::size_t>(got));
  }
  return out;
}

std::string text_of(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

}  // namespace

Result<DaemonProcess> DaemonProcess::start(const std::string& program, const std::string& config,
                                           const std::string& log) {
  const Started started = rehearse::start(program, {"--config", config, "--training"}, log);
  if (started.pid < 0) return fail(kSay.cannot_start(program, std::generic_category().message(errno)));
  DaemonProcess out;
  out.pid_ = started.pid;
  const std::string said = read_until(started.out, "ready control=", kReadyMs);
  ::close(started.out);
  if (said.find("ready control=") == std::string::npos) {
    return fail(kSay.not_started(text_of(log)));
  }
  return out;
}

DaemonProcess::DaemonProcess(DaemonProcess&& other) noexcept : pid_(std::exchange(other.pid_, -1)) {}
DaemonProcess::~DaemonProcess() {
  stop();
}

void DaemonProcess::stop() {
  const pid_t pid = std::exchange(pid_, -1);
  if (pid < 0) return;
  ::kill(pid, SIGTERM);
  for (int waited_ms = 0; ::waitpid(pid, nullptr, WNOHANG) == 0; waited_ms += kLookMs) {
    if (waited_ms >= kStopMs) ::kill(pid, SIGKILL);
    ::poll(nullptr, 0, kLookMs);
  }
}

Ran run_program(const std::string& program, const std::vector<std::string>& arguments) {
  const Started started = start(program, arguments, "");
  if (started.pid < 0) return {-1, kSay.cannot_start(program, std::generic_category().message(errno))};
  Ran out;
  out.said = read_until(started.out, "\x01", kReadyMs);
  ::close(started.out);
  int status = 0;
  ::waitpid(started.pid, &status, 0);
  out.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return out;
}

}  // namespace stillpoint::rehearse
