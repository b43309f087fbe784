#include "clients/alert_runner.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <spdlog/spdlog.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>

#include "clients/sentences.hpp"
#include "common/file.hpp"

extern char** environ;

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::seconds kTimeLimit{10};
constexpr std::chrono::milliseconds kLook{50};

std::string replaced(const std::string& text, const session::Alert& alert) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const auto is = [&](std::string_view word) { return text.compare(i, word.size(), word) == 0; };
    if (is("{key}")) {
      out += alert.key;
      i += 5;
    } else if (is("{severity}")) {
      out += to_word(alert.severity);
      i += 10;
    } else if (is("{text}")) {
      out += alert.text;
      i += 6;
    } else {
      out += text[i++];
    }
  }
  return out;
}

/// What the child gets: nothing to read, our stderr for its words, no descriptor of ours, signals as by default, and
/// a process group of its own so that its children end with it.
class SpawnSetup {
 public:
  SpawnSetup() {
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_adddup2(&actions, STDERR_FILENO, STDOUT_FILENO);
    posix_spawn_file_actions_addclosefrom_np(&actions, STDERR_FILENO + 1);
    posix_spawnattr_init(&attributes);
    sigset_t none, all;
    sigemptyset(&none);
    sigfillset(&all);
    posix_spawnattr_setsigmask(&attributes, &none);
    posix_spawnattr_setsigdefault(&attributes, &all);
    posix_spawnattr_setpgroup(&attributes, 0);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
  }
  SpawnSetup(const SpawnSetup&) = delete;
  SpawnSetup& operator=(const SpawnSetup&) = delete;
  ~SpawnSetup() {
    posix_spawn_file_actions_destroy(&actions);
    posix_spawnattr_destroy(&attributes);
  }
  posix_spawn_file_actions_t actions{};
  posix_spawnattr_t attributes{};
};

}  // namespace

std::vector<std::string> filled(const std::vector<std::string>& pattern, const session::Alert& alert) {
  std::vector<std::string> arguments;
  for (const std::string& part : pattern) arguments.push_back(replaced(part, alert));
  return arguments;
}

AlertRunner::AlertRunner(boost::asio::io_context& io, std::vector<std::string> pattern)
    : pattern_(std::move(pattern)), timer_(io) {}

AlertRunner::~AlertRunner() {
  stop();
}

void AlertRunner::alert(const session::Alert& alert) {
  if (!alert.active || pattern_.empty() || stopped_) return;
  if (const auto at = running_.find(alert.key); at != running_.end()) {
    at->second.next = alert;
    return;
  }
  start(alert);
}

void AlertRunner::start(const session::Alert& alert) {
  std::vector<std::string> arguments = filled(pattern_, alert);
  std::vector<char*> argv;
  for (std::string& argument : arguments) argv.push_back(argument.data());
  argv.push_back(nullptr);
  const SpawnSetup setup;
  pid_t pid = 0;
  const int code = ::posix_spawnp(&pid, argv[0], &setup.actions, &setup.attributes, argv.data(), environ);
  if (code != 0) {
    spdlog::error("the alert program {} cannot be started: {}", arguments[0], errno_text(code));
    return;
  }
  running_[alert.key] = Running{pid, std::chrono::steady_clock::now(), std::nullopt};
  look_again();
}

void AlertRunner::look_again() {
  if (std::exchange(looking_, true)) return;
  timer_.expires_after(kLook);
  timer_.async_wait([this](const boost::system::error_code& error) {
    if (error) return;
    looking_ = false;
    look();
  });
}

bool AlertRunner::collect(const std::string& key, const Running& running) {
  int status = 0;
  const pid_t ended = ::waitpid(running.pid, &status, WNOHANG);
  if (ended == running.pid || (ended < 0 && errno == ECHILD)) {
    if (ended > 0 && (!WIFEXITED(status) || WEXITSTATUS(status) != 0)) {
      spdlog::warn("the alert program failed for {} ({})", key,
                   WIFEXITED(status) ? kSayToClients.exit_status(std::to_string(WEXITSTATUS(status)))
                                     : kSayToClients.by_signal());
    }
    return true;
  }
  if (std::chrono::steady_clock::now() - running.since < kTimeLimit) return false;
  spdlog::warn("the alert program took longer than 10 s for {}; it was ended", key);
  ::kill(-running.pid, SIGKILL);
  ::waitpid(running.pid, nullptr, 0);
  return true;
}

void AlertRunner::look() {
  std::vector<session::Alert> next;
  for (auto at = running_.begin(); at != running_.end();) {
    if (!collect(at->first, at->second)) {
      ++at;
      continue;
    }
    if (at->second.next) next.push_back(*at->second.next);
    at = running_.erase(at);
  }
  for (const session::Alert& alert : next) start(alert);
  if (!running_.empty()) look_again();
}

void AlertRunner::stop() {
  stopped_ = true;
  timer_.cancel();
  for (const auto& [key, running] : running_) {
    ::kill(-running.pid, SIGKILL);
    ::waitpid(running.pid, nullptr, 0);
  }
  running_.clear();
}

}  // namespace stillpoint::daemon
