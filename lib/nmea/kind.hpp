#pragma once
/// The kind of a sentence, as people are told what comes.
///
/// Threads: pure. Errors: none.

#include <algorithm>
#include <string>

#include "nmea/decode.hpp"

namespace stillpoint::nmea {

/// `GGA`; "other" for one that is not of a standard kind.
inline std::string kind_of(const Decoded& decoded) {
  const auto end = std::find(decoded.formatter.begin(), decoded.formatter.end(), '\0');
  return end == decoded.formatter.begin() ? "other" : std::string(decoded.formatter.begin(), end);
}

}  // namespace stillpoint::nmea
