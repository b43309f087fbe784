#pragma once
/// What a study of an outage says of the receiver's habits.
///
/// {age}: "2.0 s".

#include "base/sentence.hpp"

namespace stillpoint::corrections {

struct Sentences {
  Sentence<0> no_loss{"No loss of corrections was found."};
  Sentence<0> record_a_loss{
      "Record half a minute of good corrections, take them away for longer than the receiver lives without, and bring "
      "them back."};
  Sentence<3> before_loss{"{count} epochs of quality {quality} before the loss{value}."};
  Sentence<2> usual_age{"While corrections are fine the age is at most {age} (9 of 10 epochs){precision}"};
  Sentence<0> whole_seconds{", in whole seconds."};
  Sentence<0> no_age{"The receiver prints no age."};
  Sentence<1> age_counts_up{"The age counts up without corrections, to {age}."};
  Sentence<0> age_stands_still{"The age stands still without corrections: it cannot be trusted to show a loss."};
  Sentence<0> age_goes_blank{"The age goes blank without corrections."};
  Sentence<0> only_class{"Only the loss of the quality class shows that corrections are gone."};
  Sentence<2> keeps_class{"The receiver keeps the class for {age} and then says {quality}."};
  Sentence<0> never_gives_up{"The receiver never gave the class up in this recording."};
  Sentence<1> how_long_unseen{"Then the receiver says {quality}; how long it had been without is not seen."};
  Sentence<3> error_went{"Its own error figure (GST, 1 sigma in plan) went from {metres} m to {metres} m{verdict}"};
  Sentence<0> error_does_not_tell{": it does not tell the loss, so let the error grow here."};
  Sentence<1> max_age_note{
      "# max_age_s: the project's accuracy decides; above {seconds} this receiver would not have kept the class"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::corrections
