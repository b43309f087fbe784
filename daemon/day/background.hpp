#pragma once
/// Work that takes seconds and would hold up the day: done on a thread of its own, and told on the day's.
///
/// Threads: `run` from the I/O thread; the work shares nothing with it. One work at a time: the next waits for the one
///          before. The destructor asks the work to stop and waits for it.
/// Time:    none. Errors: none of its own.

#include <atomic>
#include <functional>
#include <thread>

namespace stillpoint::daemon {

class Background {
 public:
  /// Ends early when `stop` is set; what it returns is called on the day's thread.
  using Work = std::function<std::function<void()>(const std::atomic<bool>& stop)>;
  using Post = std::function<void(std::function<void()>)>;

  /// `post` calls what it is given on the day's thread.
  explicit Background(Post post) : post_(std::move(post)) {}
  ~Background() {
    stop_ = true;
    join();
  }
  Background(const Background&) = delete;
  Background& operator=(const Background&) = delete;

  void run(Work work) {
    join();
    thread_ = std::thread([this, work = std::move(work)] { post_(work(stop_)); });
  }

 private:
  void join() {
    if (thread_.joinable()) thread_.join();
  }

  Post post_;
  std::atomic<bool> stop_{false};
  std::thread thread_;
};

}  // namespace stillpoint::daemon
