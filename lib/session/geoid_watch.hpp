#pragma once
/// Whether the project's geoid and the receiver's own can both be right, second by second: nobody should go on with one
/// that cannot. Not for other rooms.
///
/// Threads: the session's. Errors: none; where the grid has no height nothing is said, and the point is held for it.

#include <string>

#include "gate/judge.hpp"
#include "session/alert_board.hpp"
#include "session/basis.hpp"

namespace stillpoint::session {

class GeoidWatch {
 public:
  /// `basis` must outlive it.
  explicit GeoidWatch(const Basis& basis) : basis_(&basis) {}
  void note(const gate::Judged& judged);
  void look(const Moment& moment, AlertBoard& board) const;

 private:
  const Basis* basis_;
  std::string contradiction_;  ///< of the newest second that could tell; empty: none
};

}  // namespace stillpoint::session
