#include "session/proving.hpp"

#include <algorithm>
#include <cstdlib>

#include "estimate/calibration.hpp"
#include "estimate/visits.hpp"

namespace stillpoint::session {

void Proving::note(const std::string& source, UtcTime utc) {
  std::vector<UtcTime>& counted = counted_[source];
  const bool alone = std::all_of(counted.begin(), counted.end(), [utc](UtcTime other) {
    return std::abs(other.ms - utc.ms) >= estimate::kIndependentAfter_ms;
  });
  if (alone) counted.push_back(utc);
}

int Proving::visits(const std::string& source) const {
  const auto at = counted_.find(source);
  return at == counted_.end() ? 0 : static_cast<int>(at->second.size());
}

int Proving::missing(const std::string& source) const {
  return std::max(0, estimate::kFewestToVerify - visits(source));
}

}  // namespace stillpoint::session
