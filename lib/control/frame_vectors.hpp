#pragma once
/// What a mistake about reference frames looks like at one place on one date: one vector for every mistake.
///
/// Units:   metres, east, north, up; a vector is what the mistake adds to "shot minus mark".
/// Time:    the date of the observation.
/// Threads: that of `Transfers`. Errors: a frame that cannot be reached is left out.

#include <optional>
#include <string>
#include <vector>

#include "geodesy/transfers.hpp"

namespace stillpoint::control {

enum class FrameMistake : std::uint8_t { source_frame, shifted_twice, mark_frame };

struct FrameVector {
  FrameMistake mistake = FrameMistake::source_frame;
  geodesy::Enu vector;
  std::string what;     ///< "positions are really in EPSG:7912 ITRF2014, not in …"
  std::string confirm;  ///< what to do to make sure
};

struct FrameQuestion {
  std::string source_frame;         ///< as configured
  std::string project_frame;        ///< base
  std::string mark_frame;           ///< as declared
  std::vector<std::string> others;  ///< further frames of the configuration
  geodesy::Geographic place;
  double year = 0;
};

/// Vectors under a centimetre are left out, and those that agree within 3 cm are one, naming all their frames.
std::vector<FrameVector> frame_vectors(geodesy::Transfers& transfers, const FrameQuestion& question);

/// How fast the plate carries this place through a global frame; nothing where no plate-fixed frame is known.
std::optional<geodesy::Enu> plate_motion_m_per_year(geodesy::Transfers& transfers, const geodesy::Geographic& place,
                                                    double year);

}  // namespace stillpoint::control
