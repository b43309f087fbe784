#pragma once
/// Where the error scale of a source stands, told when a day is closed and in the office.

#include "base/sentence.hpp"

namespace stillpoint::control {

struct ScaleSentences {
  Sentence<3> stands{"Source \"{name}\": {check}; {scale} is in use."};
  Sentence<2> nothing_yet{"Source \"{name}\": 0 of 10 visits. {complaint}"};
  Sentence<0> one_more{"1 more check on a mark, 45 min from the others, proves it."};
  Sentence<1> more{"{count} more checks on marks, 45 min from each other, prove it."};
  Sentence<1> without_height{"{count} of the visits had no height to compare with, and count for nothing yet."};
  Sentence<3> within_own{
      "{count} of {count} visits lay within the 95 % horizontal error that was printed for them ({where})."};
  Sentence<1> at_places{"{places} in all"};
  Sentence<0> weak_marks{"The marks' own errors are half of what was seen, or more: a better mark says more."};
  Sentence<0> common{"An error common to all visits, such as a wrong frame, does not show without a known mark."};
  Sentence<1> paste{"Paste below name = \"{name}\":"};
  Sentence<1> visit_failed{
      "The {name} did not pass and counts: no mistake explains it. Say in the marks file if the mark is disturbed."};
  Sentence<2> left_out{"{name} is left out: {complaint}."};
  Sentence<0> no_claim{"it carries no positions or no error figure"};
  Sentence<0> old_shot{"a program of before did not write down what was claimed; recompute it from the record"};
  Sentence<0> explained{"a mistake explains it that was not the receiver's"};
  Sentence<0> perhaps_explained{
      "a program of before did not write down whether a mistake explains it; recompute it from the record"};
  Sentence<0> old_numbers{"its numbers are the old ones, and prove nothing"};
  Sentence<0> nothing_counted{"no second counted"};
  Sentence<1> its_status{"it is {status}"};
  Sentence<2> its_status_because{"it is {status}, {complaint}"};
  Sentence<1> mark_is{"the mark is {status}"};
  Sentence<1> too_close{"it is within 45 min of {name}"};
  Sentence<0> too_few_apart{"fewer than two of its visits are 45 min from all that count"};
  Sentence<1> check_on{"check on {name}"};
  Sentence<2> check_on_at{"check on {name} of {clock}"};
  Sentence<0> marks_and_repeats{"marks and repeats"};
  Sentence<2> visit{"{name} visit {visit}"};
};
inline constexpr ScaleSentences kSayScale;

}  // namespace stillpoint::control
