#pragma once
// A daemon for tests: a Unix socket in a folder of its own, answering by a script, gone at the end of the test.

#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <mutex>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

namespace stillpoint::client::test {

class FakeDaemon {
 public:
  /// What to send back for a line, as raw bytes; "" sends nothing, `kClose` closes the line.
  using Script = std::function<std::string(const std::string& line)>;
  inline static const std::string kClose = "close";

  explicit FakeDaemon(Script script) : script_(std::move(script)) {
    std::string name = (std::filesystem::temp_directory_path() / "stillpoint-client-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    folder_ = name;
    listener_ = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    const std::string where = path();
    std::copy(where.begin(), where.end(), std::begin(address.sun_path));
    if (::bind(listener_, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) != 0 ||
        ::listen(listener_, 8) != 0 || ::pipe(stop_.data()) != 0) {
      throw std::runtime_error("no socket for the fake daemon");
    }
    thread_ = std::thread([this] { serve(); });
  }
  ~FakeDaemon() {
    ::close(stop_[1]);
    thread_.join();
    ::close(stop_[0]);
    ::close(listener_);
    std::filesystem::remove_all(folder_);
  }
  FakeDaemon(const FakeDaemon&) = delete;
  FakeDaemon& operator=(const FakeDaemon&) = delete;

  std::string path() const { return folder_ + "/control"; }
  std::vector<std::string> heard() {
    const std::lock_guard lock(mutex_);
    return heard_;
  }

 private:
  /// Waits for `fd`; false once the test is over.
  bool wait_for(int fd) const {
    std::array<pollfd, 2> fds{{{fd, POLLIN, 0}, {stop_[0], POLLIN, 0}}};
    ::poll(fds.data(), fds.size(), -1);
    return fds[1].revents == 0;
  }
  void serve() {
    while (wait_for(listener_)) {
      const int client = ::accept(listener_, nullptr, nullptr);
      talk(client);
      ::close(client);
    }
  }
  void talk(int client) {
    std::string bytes;
    std::array<char, 4096> buffer{};
    while (wait_for(client)) {
      const auto count = ::recv(client, buffer.data(), buffer.size(), 0);
      if (count <= 0) return;
      bytes.append(buffer.data(), static_cast<std::size_t>(count));
      for (auto end = bytes.find('\n'); end != std::string::npos; end = bytes.find('\n')) {
        const std::string line = bytes.substr(0, end);
        bytes.erase(0, end + 1);
        {
          const std::lock_guard lock(mutex_);
          heard_.push_back(line);
        }
        const std::string answer = script_(line);
        if (answer == kClose) return;
        ::send(client, answer.data(), answer.size(), MSG_NOSIGNAL);
      }
    }
  }

  Script script_;
  std::string folder_;
  int listener_ = -1;
  std::array<int, 2> stop_{};
  std::mutex mutex_;
  std::vector<std::string> heard_;
  std::thread thread_;
};

}  // namespace stillpoint::client::test
