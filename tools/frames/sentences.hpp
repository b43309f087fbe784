#pragma once
/// What is said of the frames that serve a place.
///
/// {direction}: "above" or "below".

#include "base/sentence.hpp"

namespace stillpoint::frames {

struct Sentences {
  Sentence<0> from_source{"Metres from a source's coordinates to the project's."};
  Sentence<2> points_in{"{name}, points in {frame}"};
  Sentence<1> look_first{"look first: {advice}"};
  Sentence<0> how_reached{"How each is reached:"};
  Sentence<0> operator_says{
      "What a network delivers is for its operator to say. A receiver's \"WGS 84\" is none of these by itself: it is "
      "the frame of the corrections in use."};
  Sentence<0> from_itrf2020{
      "From ITRF2020, which SBAS and satellite-delivered corrections follow, to the frames whose area holds this "
      "place. Metres from the ITRF2020 coordinates to the frame's."};
  Sentence<4> geoid_here{"Geoid: {path} is {metres} m {direction} the ellipsoid of {frame} here."};
  Sentence<4> taken_for{
      "Taking \"{source}\" for \"{source}\" would put points off by {metres} m horizontally and {metres} m in height."};
  Sentence<1> not_here{"not here: {why}"};
  Sentence<1> stated_accuracy{"stated accuracy {metres} m"};
  Sentence<0> no_answer{"no answer, see below"};
};
inline constexpr Sentences kSay;

/// The headings of a table: their blanks put words in columns.
struct LaidOut {
  Sentence<0> frame_taken_at{"frame     taken at"};
};
inline constexpr LaidOut kLaidOut;

}  // namespace stillpoint::frames
