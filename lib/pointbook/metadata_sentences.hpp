#pragma once
/// What the metadata record of a pointbook says in words.
///
/// {year}: "2010.0000" or "2026.4200 to 2026.4300". {metres}: "0.021".

#include "base/sentence.hpp"

namespace stillpoint::pointbook {

struct MetadataSentences {
  Sentence<1> title{"Points of {name}"};
  Sentence<1> training_title{"TRAINING, no measurements: points of {name}"};
  Sentence<0> no_project{"a project without a name"};
  Sentence<3> abstract{
      "Points measured with a satellite receiver on a range pole: {count} points, {count} of them accepted and {count} "
      "held for a decision. Use the accepted ones; a held one is not proven."};
  Sentence<1> crews{"Measured by {list}."};
  Sentence<0> limits{
      "These points are not for property boundaries, navigation where lives depend on it, guiding machines, clearance "
      "for excavation or certified elevations."};
  Sentence<0> training_limits{
      "This file is for practice: its positions come from an invented or recorded receiver and are true nowhere."};
  Sentence<2> lineage{
      "Each point is the weighted mean of the seconds that one stay's gates accepted; seconds, verdicts and every "
      "earlier version stand in the file and are sealed with SHA-256. Coordinates are in {frame} {name}."};
  Sentence<1> heights_above{"Heights in the geometry are above the geoid {geoid}."};
  Sentence<0> ellipsoid_heights{"Heights in the geometry are ellipsoid heights."};
  Sentence<1> dynamic_epoch{
      "The ground moves against this frame: coordinates are of {year}, each point's own date stands in its column "
      "coordinate_epoch, and whoever changes the frame must give it."};
  Sentence<1> static_epoch{"Coordinates are of the epoch {year}."};
  Sentence<3> checked{"{count} check shots on {count} control marks, {count} passed."};
  Sentence<0> unchecked{"No control mark was checked."};
  Sentence<0> horizontal_measure{"Largest claimed horizontal error of an accepted point, radius, 95 %"};
  Sentence<0> vertical_measure{"Largest claimed vertical error of an accepted point, 95 %"};
  Sentence<0> meaning{
      "In 95 of 100 points of this quality the true place lies within the claim of the point (columns "
      "error95_horizontal_m and error95_vertical_m); the figure here is the largest claim. It is computed from what "
      "the "
      "receiver claims and the scatter of the seconds, and is no test against independent check points as NSSDA "
      "(20 points) or ASPRS Edition 2 (30 points) demand."};
  Sentence<0> unverified{
      "The scale of the receiver's claims is not verified yet for at least one point, which its flag "
      "error-scale-not-verified says."};
  Sentence<1> vertical_frame{"heights above the geoid {geoid}"};
};
inline constexpr MetadataSentences kSayOfData;

}  // namespace stillpoint::pointbook
