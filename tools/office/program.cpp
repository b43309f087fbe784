#include "program.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <system_error>

namespace stillpoint::office {
namespace {

constexpr std::size_t kMostSaid = 64U << 10U;

/// What a program needs to find its data; everything else could change what it writes.
std::vector<std::string> environment() {
  std::vector<std::string> out{"LC_ALL=C.UTF-8", "TZ=UTC", "PROJ_NETWORK=OFF", "CPL_TIMESTAMP=OFF"};
  for (const char* name : {"PATH", "TMPDIR", "PROJ_DATA", "PROJ_LIB", "GDAL_DATA", "LD_PRELOAD", "LD_LIBRARY_PATH"}) {
    const char* value = std::getenv(name);
    if (value != nullptr) out.push_back(std::string(name) + '=' + value);
  }
  return out;
}

std::vector<char*> pointers(std::vector<std::string>& words) {
  std::vector<char*> out;
  for (std::string& word : words) out.push_back(word.data());
  out.push_back(nullptr);
  return out;
}

/// Everything until the other end closes; only the beginning is kept.
std::string read_all(int fd) {
  std::string out;
  std::array<char, 4096> buffer{};
  for (;;) {
    const ssize_t got = ::read(fd, buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return out;
    if (out.size() < kMostSaid) out.append(buffer.data(), static_cast<std::size_t>(got));
  }
}

int spawn(const std::string& folder, std::vector<std::string> words, int output, pid_t& pid) {
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_adddup2(&actions, output, STDOUT_FILENO);
  posix_spawn_file_actions_adddup2(&actions, output, STDERR_FILENO);
  posix_spawn_file_actions_addchdir_np(&actions, folder.c_str());
  std::vector<std::string> settings = environment();
  std::vector<char*> argv = pointers(words), env = pointers(settings);
  const int failed = ::posix_spawnp(&pid, argv.front(), &actions, nullptr, argv.data(), env.data());
  posix_spawn_file_actions_destroy(&actions);
  return failed;
}

}  // namespace

RanProgram run_in(const std::string& folder, const std::string& program, const std::vector<std::string>& arguments) {
  RanProgram out;
  std::array<int, 2> pipe{};
  if (::pipe2(pipe.data(), O_CLOEXEC) != 0) {
    out.said = std::generic_category().message(errno);
    return out;
  }
  std::vector<std::string> words{program};
  words.insert(words.end(), arguments.begin(), arguments.end());
  pid_t pid = -1;
  const int failed = spawn(folder, std::move(words), pipe[1], pid);
  ::close(pipe[1]);
  if (failed != 0) {
    out.missing = failed == ENOENT;
    out.said = std::generic_category().message(failed);
  } else {
    out.said = read_all(pipe[0]);
    int status = 0;
    while (::waitpid(pid, &status, 0) < 0 && errno == EINTR) {
    }
    out.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  ::close(pipe[0]);
  return out;
}

}  // namespace stillpoint::office
