#pragma once
/// What happened once and is told for a while: another source, other settings of the receiver. Not for other rooms.
///
/// Time: the session's. Threads: the session's. Errors: none.

#include <array>
#include <optional>
#include <string>

#include "session/alert_board.hpp"
#include "session/basis.hpp"

namespace stillpoint::session {

class Notices {
 public:
  /// Notes that it happened now. A notice of the same kind that is still shown ends: this is a new occurrence.
  void note(AlertKind kind, AlertText text, const Moment& moment, AlertBoard& board);
  void look(const Moment& moment, AlertBoard& board) const;

 private:
  struct Passing {
    AlertKind kind{};
    std::optional<SteadyTime> at{};
    AlertText text{};
  };
  std::array<Passing, 2> passing_{{{AlertKind::source_changed}, {AlertKind::settings_changed}}};
};

}  // namespace stillpoint::session
