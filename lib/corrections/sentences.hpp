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

/// Why no corrections reach the receiver. {why}: one of the sentences here. {caster_says}: what the caster or the system
/// says of it, printable, in 48 characters.
struct StopSentences {
  Sentence<2> with_detail{"{why} ({caster_says})"};
  Sentence<0> none{"corrections come"};
  Sentence<0> no_name{"no host has the caster's name"};
  Sentence<0> refused{"the caster's host refuses the connection"};
  Sentence<0> timed_out{"the caster's host does not answer"};
  Sentence<0> reset{"the connection to the caster broke off"};
  Sentence<0> closed{"the caster closed the connection"};
  Sentence<0> tls{"the caster does not prove its name, so nothing was sent"};
  Sentence<0> login_file{"the file of credentials cannot be used"};
  Sentence<0> login_refused{"the caster refuses the user name or the password"};
  Sentence<0> mount_unknown{"the caster does not know this mount"};
  Sentence<0> caster_error{"the caster cannot serve this mount now"};
  Sentence<0> no_caster{"what answers is no caster"};
  Sentence<0> caster_silent{"the caster takes the connection and does not answer"};
  Sentence<0> mount_silent{"the caster answers, this mount is silent"};
  Sentence<0> damaged{"bytes come, and none of them make a valid frame"};
  Sentence<0> receiver_stalled{"the receiver's link is up and takes nothing"};
  Sentence<0> receiver_gone{"the receiver's link is down"};
  Sentence<0> program_silent{"the program on the relay brings none"};
};
inline constexpr StopSentences kSayOfStop;

/// The same with an alert, in 48 characters at most: a capital and a full stop are put on.
struct BriefStopSentences {
  Sentence<0> none{"corrections come"};
  Sentence<0> no_name{"no corrections: no host of this name"};
  Sentence<0> refused{"no corrections: the host refuses"};
  Sentence<0> timed_out{"no corrections: the host does not answer"};
  Sentence<0> reset{"no corrections: the link broke off"};
  Sentence<0> closed{"no corrections: the caster closed"};
  Sentence<0> tls{"no corrections: the caster proves no name"};
  Sentence<0> login_file{"no corrections: no usable credentials"};
  Sentence<0> login_refused{"no corrections: the login is refused"};
  Sentence<0> mount_unknown{"no corrections: the mount is unknown"};
  Sentence<0> caster_error{"no corrections: the caster cannot serve"};
  Sentence<0> no_caster{"no corrections: no caster answers"};
  Sentence<0> caster_silent{"no corrections: the caster is silent"};
  Sentence<0> mount_silent{"no corrections: this mount is silent"};
  Sentence<0> damaged{"no corrections: what comes is damaged"};
  Sentence<0> receiver_stalled{"no corrections: the receiver takes none"};
  Sentence<0> receiver_gone{"no corrections: the receiver is gone"};
  Sentence<0> program_silent{"no corrections: the program is silent"};
};
inline constexpr BriefStopSentences kSayOfStopBriefly;

}  // namespace stillpoint::corrections
