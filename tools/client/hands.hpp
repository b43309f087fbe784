#pragma once
/// What keys do, and what the daemon's answers do to it; knows neither terminal nor line.
///
/// Units:   milliseconds of the caller's steady clock.
/// Threads: plain value, which stays where it is: what is asked refers to the day in it.

#include <string_view>

#include "client/panel.hpp"

namespace stillpoint::client {

class Hands {
 public:
  Hands() = default;
  Hands(const Hands&) = delete;
  Hands& operator=(const Hands&) = delete;

  /// One key, or one escape sequence. False: the user leaves.
  bool press(std::string_view key, const Panel& panel);
  /// Asks for what has waited for five seconds.
  void look(const Now& now);
  /// True once per wish to be quiet.
  bool take_quiet() noexcept;

  Day& day() noexcept { return day_; }
  const Day& day() const noexcept { return day_; }
  Desk& desk() noexcept { return desk_; }
  const Desk& desk() const noexcept { return desk_; }
  const Hold& hold() const noexcept { return hold_; }

 private:
  void press_free(char key, const Now& now, bool narrow);
  bool refuses(ActId act, const Now& now);
  void keep_or_discard(ActId act, HeldAct held, const Now& now);
  void undo();
  void see(const Now& now);
  void ask_about(const char* method, const std::string& name, long long visit);

  Day day_;
  Desk desk_;
  Hold hold_;
  bool wants_quiet_ = false;
};

}  // namespace stillpoint::client
