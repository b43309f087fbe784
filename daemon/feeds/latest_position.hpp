#pragma once
/// The newest position sentence of the receiver that may be sent to a caster: valid, measured and fresh.
///
/// Time:    the machine's, handed in. Threads: one. Errors: none; where there is no such sentence the answer is empty.

#include <string>
#include <string_view>

#include "common/times.hpp"
#include "nmea/framer.hpp"

namespace stillpoint::daemon {

class LatestPosition {
 public:
  static constexpr std::int64_t kFreshMs = 5'000;

  /// Bytes of the receiver.
  void hear(std::string_view bytes, MachineTime now);
  /// The whole GGA sentence as it came, without its line end.
  std::string fresh(MachineTime now) const;

 private:
  nmea::Framer framer_;
  std::string sentence_;
  MachineTime heard_;
};

}  // namespace stillpoint::daemon
