#pragma once
/// Which sources may stand beside each other in one day. Not for other rooms.
///
/// The source of the first point kept, or of the first check passed, is the day's own. Points under any other are held
/// until one mark has passing shots under both and the step between them is no larger than the two methods explain. A
/// source that was tied so once stays so; coming back to it asks for no second overlap.
///
/// Units: metres. Threads: the session's. Errors: none.

#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "control/compare.hpp"

namespace stillpoint::session {

class Overlaps {
 public:
  /// A point was kept under this source.
  void keep(const std::string& source);
  /// A check passed on this mark; what it says about other sources there.
  std::vector<control::Overlap> pass(const std::string& mark, const control::SourceShot& shot);
  /// Why points under this source wait for an overlap check; empty: they do not.
  std::string due(const std::string& source) const;

 private:
  std::set<std::string> tied_;                                                 ///< the first is the day's own
  std::map<std::pair<std::string, std::string>, control::SourceShot> passed_;  ///< newest, by mark and source
  std::map<std::string, std::string> disagrees_;                               ///< source to what its last overlap said
};

}  // namespace stillpoint::session
