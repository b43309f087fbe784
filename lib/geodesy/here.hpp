#pragma once
/// Which of the frames that crews use serve a place, and how far each lies from ITRF2020 there on a date.
///
/// Units:   degrees, metres; shifts are east, north and up at the place, from the ITRF2020 coordinates to the frame's.
/// Time:    the date the caller gives.
/// Threads: makes and drops its own PROJ context; a tool's pace, not an epoch's.
/// Errors:  the call fails only without PROJ or a usable date; a frame that serves the place and cannot be reached
///          honestly is in the answer with its sentence.

#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::geodesy {

struct FrameHere {
  std::string code;
  std::string name;
  bool global = false;
  std::optional<Enu> shift;          ///< empty: not reachable from ITRF2020
  std::string description;           ///< PROJ's words for the operation
  std::optional<double> accuracy_m;  ///< as stated in the EPSG data set
  std::string why_not;               ///< why there is no shift
  std::string doubt;                 ///< why its area must be looked at here; empty: it plainly serves
};

/// National frames first, then the global ones. Frames whose area of use does not hold the place are left out.
Result<std::vector<FrameHere>> frames_here(const Geographic& place, UtcTime utc);

}  // namespace stillpoint::geodesy
