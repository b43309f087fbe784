#pragma once
/// The command line of stillpoint-frames.

#include <optional>
#include <string>

#include "base/time.hpp"
#include "geodesy/local.hpp"
#include "stream.hpp"

namespace stillpoint::frames {

inline constexpr int kDone = 0;
inline constexpr int kUsage = 2;

struct Options {
  geodesy::Geographic place;
  UtcTime utc;         ///< noon of the date
  std::string date;    ///< as given
  std::string config;  ///< empty: the table of usual frames
  std::string caster;  ///< host and port; empty: frames are asked for
  Encryption encryption;
};

struct Parsed {
  Options options;
  std::optional<int> exit;  ///< set: stop with this status, everything has been said
};

Parsed parse(int argc, char** argv);

}  // namespace stillpoint::frames
