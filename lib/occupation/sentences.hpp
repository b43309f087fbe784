#pragma once
/// Why a point is held, as people read it.

#include "base/sentence.hpp"

namespace stillpoint::occupation {

struct Sentences {
  Sentence<2> too_few_epochs{"{epochs} counted, at least {count} wanted"};
  Sentence<2> too_short{"{seconds} s counted, at least {seconds} s wanted"};
  Sentence<4> unresolved{
      "two levels {metres} m apart and {metres} m in height ({count} and {count} epochs): visit the point again"};
  Sentence<1> drifting{"the {drift}: visit the point again"};
  Sentence<3> geoid_apart{
      "the geoid is at {metres} m by the grid and at {metres} m by the receiver, over {metres} m apart: correct grid, "
      "sign or frame"};
  Sentence<2> geoid_turned{
      "the geoid is at {metres} m by the grid and at {metres} m by the receiver: the grid's sign is turned"};
  Sentence<2> geoid_unknown_to_receiver{
      "the geoid is at {metres} m by the grid and at {metres} m by the receiver, which may know none: compare with a "
      "mark"};
  Sentence<2> pole_wrong{"{metres} m of antenna were subtracted, {metres} m were right: redo in the office"};
  Sentence<2> stay{"{name} visit {visit}"};
  Sentence<2> stay_held{"its stay {title} is {status}: decide about that stay"};
  Sentence<0> one_way_or_other{
      "an offset point wants one kept point with distance and bearing, or two kept points with their distances and the "
      "side"};
  Sentence<1> from_offset{"{title} is an offset point itself: measure from a stay"};
  Sentence<1> stay_without_place{"{title} has no coordinates: take another stay"};
  Sentence<1> from_rejected{"{title} is rejected: take another stay"};
  Sentence<1> one_place_twice{"two visits of {name} are one place; measure from two points"};
  Sentence<4> other_dates{
      "the two stays are of {frame} at {year} and of {frame} at {year}: take stays of one frame and date"};
  Sentence<0> interrupted{"the receiver's data broke off during the stay"};
  Sentence<0> clock_back{"the receiver's clock stepped back during the stay"};
  Sentence<0> base_changed{"corrections came from another base, or it stood elsewhere: visit the point again"};
  Sentence<3> visits_disagree{
      "visit {visit} lies {metres} m away and {metres} m in height, more than both errors explain: visit the point "
      "again"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::occupation
