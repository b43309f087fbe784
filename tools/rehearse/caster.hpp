#pragma once
/// The caster of a rehearsal: one mount on this machine, which sends what the scenario's base sends.
///
/// Protocol: NTRIP 1. Whatever is asked for, the answer is the one stream; a login is not looked at.
/// Time:    no call waits but `wait_for_reader`, until its deadline.
/// Threads: one. Errors: a sentence; bytes nobody takes are lost, as those of a real one are.

#include <string>
#include <string_view>

#include "base/result.hpp"

namespace stillpoint::rehearse {

class Caster {
 public:
  static Result<Caster> open();
  Caster(Caster&& other) noexcept;
  Caster& operator=(Caster&&) = delete;
  ~Caster();

  /// The `[corrections]` table that asks here.
  std::string table() const;
  /// Waits until somebody has asked for the stream; false at the deadline.
  bool wait_for_reader(int ms);
  void send(std::string_view bytes);

 private:
  Caster() = default;
  /// Takes whoever asks, and answers a request that has come whole.
  void attend();
  void hang_up();

  int listener_ = -1, fd_ = -1, port_ = 0;
  std::string request_;
  bool is_answered_ = false;
};

}  // namespace stillpoint::rehearse
