#pragma once
/// How far the checks on marks have come towards proving a source's error claim.
///
/// Rule:    checks that passed count, of those less than 45 min apart the first: within that time they share an error.
///          It changes no figure. Only the configuration's `error_scale_evidence` does, once the scale was worked out.
/// Time:    UTC of the checks, in any order. Threads: one object, one thread. Errors: none.

#include <map>
#include <string>
#include <vector>

#include "base/time.hpp"

namespace stillpoint::session {

class Proving {
 public:
  void note(const std::string& source, UtcTime utc);
  int visits(const std::string& source) const;
  /// How many more prove it; 0: enough were made.
  int missing(const std::string& source) const;

 private:
  std::map<std::string, std::vector<UtcTime>> counted_;
};

}  // namespace stillpoint::session
