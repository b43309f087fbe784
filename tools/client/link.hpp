#pragma once
/// The line to the daemon: a Unix-domain stream socket with one JSON-RPC message a line.
///
/// Units:   milliseconds in integers.
/// Time:    reads the steady clock for its deadlines; no call waits longer than it was allowed.
/// Threads: one link, one thread.
/// Errors:  a `Failure` with its sentence and the program's exit status.

#include <chrono>
#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "client/wire_names.hpp"

namespace stillpoint::client {

inline constexpr int kExitDone = 0, kExitRefused = 1, kExitUsage = 2, kExitNoDaemon = 4;

struct Failure {
  int exit = kExitRefused;
  std::string text;
  Json data{};       ///< of a refusal that is a question: what it is about; else null
  long long id = 0;  ///< of the request that was refused
};
template <class T>
using Outcome = tl::expected<T, Failure>;

/// A result or a notification: its value, and its bytes as the daemon wrote them.
struct Message {
  std::string method;  ///< of a notification; empty for a result
  long long id = 0;    ///< of a result
  Json value;
  std::string text;
};

class Link {
 public:
  /// Readable when the user wants the program to stop; -1: never.
  struct Limits {
    int answer_ms = 5000;
    int stop_fd = -1;
  };

  static Outcome<Link> open(const std::string& path, const Limits& limits);
  ~Link();
  Link(Link&& other) noexcept;
  Link& operator=(Link&& other) noexcept;
  Link(const Link&) = delete;
  Link& operator=(const Link&) = delete;

  /// Sends a request and waits for its result; notifications that come meanwhile are kept for `next`.
  Outcome<Message> call(const std::string& method, const nlohmann::json& params = nullptr);
  /// Sends a request without waiting; its result comes out of `next`. Returns its id.
  Outcome<long long> ask(const std::string& method, const nlohmann::json& params = nullptr);

  enum class Came : std::uint8_t { message, nothing, stop, key };
  /// The next message, waiting at most `wait_ms`; `key` when `key_fd` (-1: none) has something to read meanwhile.
  Outcome<Came> next(Message& out, int wait_ms, int key_fd = -1);

 private:
  using Clock = std::chrono::steady_clock;
  Link(int fd, std::string path, const Limits& limits);
  Outcome<void> send(const std::string& line, Clock::time_point until);
  Outcome<Came> read_message(Message& out, Clock::time_point until, int key_fd = -1);
  Outcome<Came> wait_for(short events, Clock::time_point until, int key_fd = -1);
  Outcome<bool> take_bytes();
  bool take_line(std::string& line);
  Failure no_answer(int patience_ms) const;
  Failure gone() const;

  int fd_ = -1;
  std::string path_;
  Limits limits_;
  std::string received_;
  std::size_t searched_ = 0;  ///< bytes of `received_` known to hold no line end
  std::deque<Message> waiting_;
  long long last_id_ = 0;
};

}  // namespace stillpoint::client
