#pragma once
/// What is said of a journal and of a log that is none.
///
/// {todo}: what to do about it.

#include "base/sentence.hpp"

namespace stillpoint::record {

struct Sentences {
  Sentence<1> no_visits{"{word} is not a number of visits"};
  Sentence<0> no_offset{"an offset in the corrections is a whole number"};
  Sentence<1> command_unreadable{"a command in the journal cannot be read: {line}"};
  Sentence<0> no_journal{
      "line 1 of the journal does not open a journal of this program; choose the one beside the log"};
  Sentence<1> line_unreadable{
      "line {line} of the journal is neither an arrival nor a command; the file was changed or damaged"};
  Sentence<1> line_goes_back{
      "line {line} of the journal goes back in bytes or in time; the file was changed or damaged"};
  Sentence<1> breaks_off{"breaks off in line {line}, as after a loss of power, and is read to there"};
  Sentence<0> no_first_line{"the journal has no complete first line; it was cut off or is another file"};
  Sentence<0> unpack_first{"; unpack it first"};
  Sentence<0> save_again{"; save it as plain ASCII or UTF-8 text"};
  Sentence<2> compressed{"is compressed ({format}){todo}"};
  Sentence<1> utf16{"is text in UTF-16, two bytes a letter{todo}"};
  Sentence<0> empty{"it is empty"};
  Sentence<1> no_checksums{
      "{sentences} without a checksum and none with one: a damaged digit could not be told from a right one, so none "
      "is read; let the receiver print checksums (*hh)"};
  Sentence<1> no_checksum_agrees{"not one of {sentences} has a checksum that agrees with it"};
  Sentence<1> no_nmea{"{bytes} of something else than NMEA sentences"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::record
