#pragma once
/// What wants a second press (or a held key) and can be taken back for five seconds: Discard, and Keep before it is
/// enough. Nothing is asked of the daemon before those are over.
///
/// Units:   milliseconds of the caller's steady clock.
/// Threads: plain value.

#include <cstdint>
#include <optional>
#include <string>

#include "client/wire_names.hpp"

namespace stillpoint::client {

enum class HeldAct : std::uint8_t { none, keep, discard };

class Hold {
 public:
  /// The key of an act is pressed: the first press asks, the second one begins the wait.
  void press(HeldAct act, const Json& stay, std::int64_t now_ms);
  /// Any other key: what was only asked is off.
  void forget_question() noexcept;
  /// Takes back what waits; false: nothing did.
  bool undo() noexcept;

  HeldAct asks(std::int64_t now_ms) const noexcept;
  HeldAct waits() const noexcept { return until_ms_ && confirmed_ ? act_ : HeldAct::none; }
  int seconds_left(std::int64_t now_ms) const noexcept;
  const std::string& name() const noexcept { return name_; }

  struct Due {
    HeldAct act = HeldAct::none;
    std::string name;
    long long visit = 1;
    bool is_open = false;  ///< the point it was asked for is still the open one
  };
  /// What is due now, or cannot be done any more; asks no more than once.
  std::optional<Due> due(const Json& stay, bool lost, std::int64_t now_ms);

 private:
  bool is_of(const Json& stay) const;
  HeldAct act_ = HeldAct::none;
  bool confirmed_ = false;
  std::string name_, since_;
  long long visit_ = 1;
  std::optional<std::int64_t> until_ms_;
};

}  // namespace stillpoint::client
