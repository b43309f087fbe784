#pragma once
/// The turn test that goes on: four stays on one mark, the pole facing north, east, south and west. Not for other
/// rooms.
///
/// Units: metres, degrees. Threads: the session's. Errors: a test that cannot be computed says so in its verdict.

#include <map>
#include <string>
#include <string_view>

#include "session/check_shot.hpp"

namespace stillpoint::session {

/// Where the pole faces in one stay.
struct Heading {
  std::string_view word, name;
  double deg = 0;
};
/// `N` `E` `S` `W`; null: any other word.
const Heading* heading_of(std::string_view word);

class TurnTest {
 public:
  /// One stay; the fourth tells the lean. `done` has a residual and gets its verdict.
  void take(const Heading& heading, FinishedCheck& done);
  /// What was begun says nothing about what comes.
  void forget();

 private:
  void conclude(FinishedCheck& done);

  std::string mark_;                               ///< empty: none goes on
  std::map<std::string, control::TurnShot> kept_;  ///< by the word of the heading
};

}  // namespace stillpoint::session
