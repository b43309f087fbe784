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
  Sentence<3> error_went{"Its own error figure (GST, 1 sigma horizontal) went from {metres} m to {metres} m{verdict}"};
  Sentence<0> error_does_not_tell{": it does not tell the loss, so let the error grow here."};
  Sentence<1> max_age_note{
      "# max_age_s: the project's accuracy decides; above {seconds} this receiver would not have kept the class"};
  Sentence<1> max_age_practice{
      "# max_age_s: the project's accuracy decides; above {seconds} nobody works (common practice), though this "
      "receiver "
      "kept the class"};
  Sentence<1> max_age_unseen{
      "# max_age_s: the project's accuracy decides; above {seconds} nothing was seen of this receiver"};
  Sentence<0> fix_was_lost{
      "Then the fix was lost: how long the receiver keeps the class without corrections is not seen."};
  Sentence<1> blank_in{"The age is blank in {share} % of the good epochs"};
  Sentence<0> always_blank{"The receiver leaves the age blank with good corrections"};
  Sentence<0> refuse_fits{
      "age_missing = \"refuse\" fits: with good corrections there is an age, so a blank one means none."};
  Sentence<1> trust_fits{
      "{blank}, and it was seen to give the class up: age_missing = \"trust-quality\" fits. Its points are flagged "
      "correction-age-unknown."};
  Sentence<1> allow_fits{
      "{blank}, and it was not seen to give the class up: only our own clock can end it (age_missing = \"allow\")."};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::corrections
