#pragma once
/// The set-up as the page leads it: one method, `setup`, over the course that the terminal leads too.
///
/// Parameters: `answer`, a text; or `back`; or `begin`, when the configuration is in order; or none, to look. The answer
/// is always how the course stands: PROTOCOL.md has its members.
///
/// Threads: the I/O thread. Time: none. Units: none.
/// Errors:  a sentence in `wrong`; the question stays.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "clients/control_socket.hpp"
#include "setup/course.hpp"

namespace stillpoint::daemon {

/// What is done for the course; each tells its end by a call of the set-up.
struct SetUpHands {
  std::function<void(const setup::Link&)> listen;
  std::function<void(const setup::CasterAsked&)> ask_mounts;
  std::function<std::optional<std::string>()> read;
  /// Why no day can begin with it; empty: one can.
  std::function<std::vector<std::string>(const std::string& text)> write;
  std::function<void()> begin;
};

class SetUp {
 public:
  /// `first`: what is said above the first question.
  SetUp(setup::Course::Around around, SetUpHands hands, std::vector<std::string> first);

  void handle(const Call& call);
  void heard(const Result<setup::Heard>& heard, const setup::Link& link);
  void know_mounts(std::optional<ntrip::SourceTable> table);

 private:
  enum class Stage : std::uint8_t { asking, busy, written, left };

  void answer(const std::string& typed);
  void back();
  void go_on();
  std::string standing() const;

  std::string path_;
  setup::Course course_;
  SetUpHands hands_;
  Stage stage_ = Stage::asking;
  std::vector<std::string> said_, faults_;
  std::string wrong_;
};

}  // namespace stillpoint::daemon
