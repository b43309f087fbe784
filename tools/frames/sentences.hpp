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

  // Of a caster.
  Sentence<1> no_caster_name{"{host} is no caster; give host and port, such as caster.example.org:2101"};
  Sentence<1> no_host{"no host is called {host}; look at the name, and at the network"};
  Sentence<2> no_answer_from{"{host} does not answer on port {port}; look at the port, and at the network"};
  Sentence<2> no_tls{"{host} did not prove its name: {error}; nothing was sent"};
  Sentence<0> no_tls_answer{"it does not answer as one that encrypts"};
  Sentence<2> no_authority{"the certificates {path} cannot be read: {error}"};
  Sentence<0> tls_wants_caster{"--tls and --authority go with --caster"};
  Sentence<1> no_table{"{host} sends no table of streams"};
  Sentence<2> mounts{"{host} offers {count} mounts, the nearest first."};
  Sentence<0> wants_position{"wants your position"};
  Sentence<0> wants_login{"wants a login"};
  Sentence<1> left_out{"{count} more cannot be read."};
  Sentence<0> table_proves_nothing{
      "The table says nothing of the frame. The base itself does, once corrections come and its published place is "
      "among "
      "the marks (status base)."};
  Sentence<0> date_wanted{"--date is required, unless --caster asks for its mounts"};
};
inline constexpr Sentences kSay;

/// The headings of a table: their blanks put words in columns.
struct LaidOut {
  Sentence<0> frame_taken_at{"frame     taken at"};
  Sentence<0> mount_columns{"       away  mount               format      made of"};
};
inline constexpr LaidOut kLaidOut;

}  // namespace stillpoint::frames
