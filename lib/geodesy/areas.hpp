#pragma once
/// Whether a frame plainly serves a place, or the place only lies in the box by which the data set states the frame's
/// area.
///
/// Rule:    the data set holds thousands of areas of use, of states, counties and zones, and says in words what each is
///          of. The smallest that hold a place tell whose it is. A frame is in doubt where they name a part of its own
///          country that its text leaves out and a smaller frame of the family names (Hawaii); and where the land is
///          another country's: no state that the frame is made for may hold the place, and an area of the other country
///          is less than a quarter of the smallest of its own. Near a border boxes of both sides are alike: nothing is
///          said.
/// Units:   degrees.
/// Threads: the areas are read once in a process, by whoever asks first, and never change.
/// Time:    reading them takes as long as some 30,000 seconds of a stream; `read_areas` does it before the first.
/// Errors:  none; without PROJ's data set there is no doubt.
/// Source:  the areas and names of the EPSG data set, as PROJ lists them.

#include <optional>
#include <string>

#include "geodesy/local.hpp"
#include "geodesy/reference_frame.hpp"

namespace stillpoint::geodesy {

struct AreaDoubt {
  std::string word;     ///< what `area_looked_at` must hold: the other frame or the other country, as `Mexico`
  std::string sibling;  ///< code of the frame of the family that is made for the place; empty: another country's
  std::string land;     ///< whose the place is, as `Hawaii` or `Mexico`
};

/// Reads the data set now, so that no second of a stream has to wait for it.
void read_areas();

/// Empty: the frame plainly serves the place, or the data set cannot tell.
std::optional<AreaDoubt> doubt_about(const ReferenceFrame& frame, double latitude_deg, double longitude_deg);

/// `the area of NAD83(2011) is a box in the data set; …`, with what to write in the configuration.
std::string doubt_text(const ReferenceFrame& frame, const AreaDoubt& doubt);

}  // namespace stillpoint::geodesy
