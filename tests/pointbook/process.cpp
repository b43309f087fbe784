#include "pointbook/process.hpp"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <sstream>
#include <utility>

namespace stillpoint::samples {

Process::Process(const std::vector<std::string>& command) {
  std::array<int, 2> to_it{}, from_it{};
  if (::pipe2(to_it.data(), O_CLOEXEC) != 0 || ::pipe2(from_it.data(), O_CLOEXEC) != 0) return;
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, to_it[0], 0);
  posix_spawn_file_actions_adddup2(&actions, from_it[1], 1);
  posix_spawn_file_actions_adddup2(&actions, from_it[1], 2);
  std::vector<std::string> words = command;
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  if (::posix_spawnp(&pid_, arguments[0], &actions, nullptr, arguments.data(), environ) != 0) pid_ = -1;
  posix_spawn_file_actions_destroy(&actions);
  ::close(to_it[0]);
  ::close(from_it[1]);
  in_ = to_it[1];
  out_ = from_it[0];
}

Process::~Process() {
  if (pid_ > 0) kill();
  if (in_ >= 0) ::close(in_);
  if (out_ >= 0) ::close(out_);
}

bool Process::fill(const timespec* patience) {
  pollfd waiting{out_, POLLIN, 0};
  if (patience != nullptr && ::ppoll(&waiting, 1, patience, nullptr) <= 0) return false;
  std::array<char, 4096> part{};
  ssize_t n = ::read(out_, part.data(), part.size());
  while (n < 0 && errno == EINTR) n = ::read(out_, part.data(), part.size());
  if (n <= 0) return false;
  buffer_.append(part.data(), static_cast<std::size_t>(n));
  return true;
}

std::optional<std::string> Process::line() {
  return line_within(-1);
}

std::optional<std::string> Process::line_within(long microseconds) {
  const timespec patience{microseconds / 1'000'000, (microseconds % 1'000'000) * 1000};
  std::size_t end = buffer_.find('\n');
  while (end == std::string::npos) {
    if (!fill(microseconds < 0 ? nullptr : &patience)) return std::nullopt;
    end = buffer_.find('\n');
  }
  std::string text = buffer_.substr(0, end);
  buffer_.erase(0, end + 1);
  return text;
}

std::string Process::rest() {
  while (fill(nullptr)) {
  }
  return std::exchange(buffer_, {});
}

int Process::finish() {
  if (in_ >= 0) ::close(std::exchange(in_, -1));
  if (pid_ <= 0) return -1;
  int status = 0;
  ::waitpid(std::exchange(pid_, -1), &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

void Process::kill() {
  if (pid_ <= 0) return;
  ::kill(pid_, SIGKILL);
  ::waitpid(std::exchange(pid_, -1), nullptr, 0);
}

bool has_program(const std::string& name) {
  const char* path = std::getenv("PATH");
  std::istringstream folders(path == nullptr ? "/usr/bin:/bin" : path);
  for (std::string folder; std::getline(folders, folder, ':');) {
    if (::access((folder + "/" + name).c_str(), X_OK) == 0) return true;
  }
  return false;
}

std::string output_of(const std::vector<std::string>& command) {
  Process process(command);
  std::string text = process.rest();
  process.finish();
  return text;
}

}  // namespace stillpoint::samples
