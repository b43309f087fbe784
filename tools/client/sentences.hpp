#pragma once
/// What the client says in answers, tables and on its screen; the daemon's own sentences come from there.
///
/// {off}: "12 mm east". {verified}: empty, or ", not verified". {when}: the end of the sentence, with what comes next.

#include "base/sentence.hpp"

namespace stillpoint::client {

struct Sentences {
  // The set-up.
  Sentence<0> welcome{
      "This makes the configuration of a day. An empty answer takes what is proposed, back goes back, ? means that you "
      "do not know."};
  Sentence<0> ask_receiver{"Where is the receiver?"};
  Sentence<0> hint_receiver{"A number of the list, a device such as /dev/rfcomm0, or a host and port."};
  Sentence<1> return_takes{"Return takes: {proposed}"};
  Sentence<0> listening{"Listening to the receiver."};
  Sentence<0> go_on_without{"Write yes to go on without it; anything else asks for the receiver again."};
  Sentence<1> device_forbidden{"{device} may not be opened: join the group dialout, then log in again."};
  Sentence<1> device_missing{"There is no {device}: is the receiver plugged in, or paired?"};
  Sentence<1> no_device{"{device} is no serial device."};
  Sentence<1> device_gone{"{device} went away while it was listened to."};
  Sentence<2> device_failed{"{device} cannot be opened: {why}."};
  Sentence<2> host_unknown{"{host} is not known: {why}."};
  Sentence<2> host_failed{"{host} does not answer: {why}."};
  Sentence<1> check_failed{"stillpointd cannot be started to look at the configuration: {why}."};
  Sentence<0> unreadable_file{"all of it, which cannot be read as a configuration"};
  Sentence<0> values_only{"no key, but the values of today"};
  Sentence<2> would_lose{"{path} is already there. It would lose: {keys}. Write yes to write over it."};
  Sentence<1> left_as_it_was{"{path} was left as it was."};
  Sentence<1> cannot_write{"{path} cannot be written: is its folder there, and yours?"};
  Sentence<0> answers_ended{"The answers ended before the last question: nothing was written."};
  Sentence<1> not_usable{"{path} is written, and no day can begin with it before this is put right."};
  Sentence<1> written{"{path} is written and in order."};
  Sentence<1> next_steps{
      "Next: stillpointd --config {path}, then set the page's ruler, and begin with a check on a mark."};
  Sentence<0> listen_range{"--listen takes 1 to 600 s"};
  Sentence<0> day_network{"The network gives centimetres where there is service; without it nothing counts."};
  Sentence<0> day_satellites{"Satellites give submetre without service; centimetres cannot be had."};
  Sentence<0> day_both{"The network gives centimetres where there is service, satellites submetre elsewhere."};
  Sentence<0> day_errors{"Every point gets a 95 % error from the receiver's own figures."};
  Sentence<0> day_assumed{"The receiver prints no errors: points rest on assumed ones, and say so."};
  Sentence<0> day_proven{"Checks on your marks can prove the day; the first is due at its beginning."};
  Sentence<0> day_unproven{"Without marks nothing can prove the day: points will say that no check was made."};
  Sentence<1> check_not_passed{"the check on {name} did not pass; find the cause before the next point counts"};
  Sentence<0> pole_leans{"the pole leans; adjust the bubble and turn again"};
  Sentence<1> nothing_compared{"nothing was compared with {name}; occupy the mark again"};
  Sentence<2> sources_disagree{
      "the two sources do not agree on {name}; points under \"{source}\" are held until they do"};
  Sentence<1> left_held{"Left held: {why}"};
  Sentence<1> by_hand{"By hand: {why}"};
  Sentence<2> no_point{"No point: {why} ({clock} UTC)."};
  Sentence<1> was_held{"It was held: {why}."};
  Sentence<3> shot_minus_mark{"Shot minus mark: {off}, {off}, {off}."};
  Sentence<0> no_marks{"No marks are configured: nothing can be proved."};
  Sentence<0> passed_with_note{"PASSED, with a note:"};
  Sentence<1> not_compared{"{axis} not compared"};
  Sentence<0> output_lost{"cannot write the answer to the output; is its disk full?"};
  Sentence<3> not_accepted{"{name} is not accepted: {status}{because}"};
  Sentence<0> none_counted{"no second counted"};
  Sentence<0> new_point{"New point"};
  Sentence<0> ask_new_point{"New point:"};
  Sentence<0> nothing_changed{"Nothing was changed."};
  Sentence<0> none_open{"No point is open."};
  Sentence<1> still_open{"{name} is still open: keep or drop it first."};
  Sentence<0> idle_key{"This key does nothing: press ? for help."};
  Sentence<0> stopped{"stopped before the daemon had answered"};
  Sentence<2> no_daemon{"no daemon at {path}: {why}"};
  Sentence<1> endless_answer{"the answer from {path} has no end; is it the daemon's socket?"};
  Sentence<1> line_closed{"the daemon at {path} closed the line; it may have stopped, look at its log"};
  Sentence<2> no_answer{
      "the daemon at {path} did not answer within {count} s; a slow disk can be the reason, and what was asked may "
      "still be done: ask for the status before you ask again"};
  Sentence<3> path_too_long{
      "the socket path has {count} bytes, but this system takes at most {count}; give a shorter path with --control: "
      "{path}"};
  Sentence<0> no_socket{"this is no socket; name the daemon's socket with --control"};
  Sentence<0> no_right{"you may not use this socket; join the group that owns it"};
  Sentence<0> nothing_answers{"nothing answers there any more; start stillpointd"};
  Sentence<0> no_socket_there{"there is no such socket; start stillpointd, or name its socket with --control"};
  Sentence<0> daemon_is_alive{" Daemon alive"};
  Sentence<0> no_alerts{"No alerts"};
  Sentence<0> does_it_count{"Does this second count?"};
  Sentence<0> daemon_alive{"Daemon alive"};
  Sentence<1> more_alerts{" +{count} more: press A for the next, or stillpoint alerts"};
  Sentence<1> coming_and_going{" Coming and going x{count}."};
  Sentence<0> none_reported{"none reported"};
  Sentence<0> none_is_open{"no point open"};
  Sentence<0> not_known{"not known yet"};
  Sentence<0> nothing_heard{"nothing heard yet"};
  Sentence<0> past_end{"A is past the end"};
  Sentence<0> no_scale{"no age to show on a scale"};
  Sentence<1> no_proof{"no proof for {age}"};
  Sentence<0> unknown_age{"age UNKNOWN (counts by the quality)"};
  Sentence<0> unknown_and_counting{"AGE UNKNOWN, counting by the quality"};
  Sentence<0> counts_until{" (counts until"};
  Sentence<0> counted_until{" (counted until"};
  Sentence<0> no_age{"age not given"};
  Sentence<0> none_in_use{"NONE in use"};
  Sentence<1> check_on{"Check on {name}"};
  Sentence<0> no_point_open{"No point open"};
  Sentence<0> percent_done{"percent done"};
  Sentence<0> without_daemon{"without the daemon"};
  Sentence<0> command_wanted{
      "stillpoint: a command is required where there is no terminal, or --plain; see stillpoint --help"};
  Sentence<1> see_help{"{error}; see stillpoint --help"};
  Sentence<0> accept_or_reject{"give --accept or --reject"};
  Sentence<0> daemon_is_alive_now{" Daemon alive."};
  Sentence<1> daemon_lost{" Daemon LOST for {seconds} s: every value above is OLD."};
  Sentence<3> points_kept{"{count} safe on disk, {count} in the pointbook, {count} waiting"};
  Sentence<1> more{" +{count} more: stillpoint alerts"};
  Sentence<0> height_error{"Height error"};
  Sentence<0> plan_error{"Plan error"};
  Sentence<0> and_not_verified{", not verified"};
  Sentence<0> receivers_figure{"the receiver's figure"};
  Sentence<0> if_claim_holds{" at 95 %, if the receiver's own error figure holds"};
  Sentence<1> worth_under_one{"; the position moved: {count} epochs worth less than one"};
  Sentence<2> worth_of{"; {count} epochs are worth {worth} independent ones"};
  Sentence<0> nothing_collected{"nothing collected: no point open"};
  Sentence<0> this_second{"This second"};
  Sentence<0> error_not_known{"error not known"};
  Sentence<1> fresh_up_to{", fresh up to {seconds}"};
  Sentence<1> antenna_above{"The antenna is {metres} m above the mark."};
  Sentence<0> no_alerts_today{"No alerts today."};
  Sentence<0> until_now{"until now"};
  Sentence<1> coming_and_going_again{"coming and going x{count}"};
  Sentence<0> safe_in_book{"Safe in the pointbook."};
  Sentence<0> safe_on_disk{"Safe on disk; it goes into the pointbook next."};
  Sentence<0> scatter_too_large{
      "The seconds scatter more than the receiver's own error figure allows: mistrust it here."};
  Sentence<0> claim_not_proven{"The error is not reduced by averaging: the receiver's claim is not proven yet."};
  Sentence<4> error_of_point{"Error plan {length}, height {length} at 95 %, if {condition}{verified}."};
  Sentence<2> adding_nothing{"Adding nothing: visit {visits}{when}"};
  Sentence<1> counts_after{"another visit counts after {clock} UTC"};
  Sentence<2> visits_disagree{
      "The visits disagree ({length} in plan, {length} in height): one is wrong; visit it again."};
  Sentence<0> not_verified{", not verified."};
  Sentence<5> together{"{name}: {visits}; together plan {length}, height {length} at 95 %{verified}"};
  Sentence<1> no_accepted_visit{"{name}: no accepted visit yet."};
  Sentence<1> not_closed{
      "Not closed: {count} of these points are of a day that is not closed; see stillpoint close-day --help."};
  Sentence<1> not_calibrated{"Not verified: nobody has calibrated the error figure of {list} on a known mark."};
  Sentence<1> errors_if_assumed{
      "Plan and height of {points}: if assumed_sigma_m of the configuration holds, for the receiver gives no error."};
  Sentence<0> errors_if_claim_holds{
      "Plan and height: error of the point at 95 %, if the receiver's own error figure holds."};
  Sentence<0> no_points{"No points yet. Start one: stillpoint occupy NAME"};
  Sentence<0> date_put_right{"The receiver's date was 1024 weeks too early, or a multiple of that, and was put right."};
  Sentence<0> date_behind{"The receiver's date stands days before the computer's clock: one of the two is wrong."};
  Sentence<0> moved{" (worth less than one: the position moved)"};
  Sentence<1> worth{" (worth {value} independent ones)"};
  Sentence<1> counted{"{count} epochs counted"};
  Sentence<1> and_height{", ellipsoid height {metres} m"};
  Sentence<0> no_position{"No second counted, so there is no position."};
  Sentence<0> no_reason{"no reason was stored"};
  Sentence<3> is_held{"{name}{visits} is held: {why}."};
  Sentence<0> claim_holds{"the receiver's own error figure holds"};
  Sentence<0> assumption_holds{"assumed_sigma_m of the configuration holds, for the receiver gives no error"};
  Sentence<0> scale_not_verified{", not verified)"};
  Sentence<0> sound_on{"Sound on."};
  Sentence<1> quiet_for{"Quiet for {count} s, new alerts sound."};
  Sentence<0> sound_off_training{"Sound off: training."};
  Sentence<0> sound_off{"Sound off."};
  Sentence<0> no_daemon_no_change{"The daemon does not answer: nothing was changed."};
  Sentence<0> no_alert{"There is no alert."};
  Sentence<1> is_status{" is {status}, not accepted"};
  Sentence<0> has_none{" has no second that counts"};
  Sentence<1> kept{"{name} is kept, safe on disk"};
  Sentence<1> kept_in_doubt{"{name} is kept, safe on disk; it scatters more than the receiver claims"};
};
inline constexpr Sentences kSay;

/// Lines of a screen or a table: their blanks put words in columns.
struct LaidOut {
  Sentence<1> will_be_held{"{name} will be held.  [K] Keep it so   any other key: back"};
  Sentence<2> reads_like{"{name} reads like {name}.  [N] It is new   any other key: back"};
  Sentence<1> throw_away{"Throw {name} away?  [D] Drop it   any other key: back"};
  Sentence<0> help_occupy{" 1  Start averaging on a point: its name is asked for."};
  Sentence<0> help_keep{" 2  Finish the point and keep it. Asks when there is not enough yet."};
  Sentence<0> help_drop{" 3  Throw the open point away. Asks first."};
  Sentence<0> help_alerts{" A  The alerts in view are seen: they fall silent, nothing else changes."};
  Sentence<0> help_quiet{" S  Quiet for 2 min: only new alerts sound.    Ctrl-L  Paint anew."};
  Sentence<0> help_leave{" Q  Leave. The daemon goes on, an open point stays open."};
  Sentence<0> help_legend{"-- What sounds and what the lines mean"};
  Sentence<0> help_bell{" Bell: 3 + 2 stop work, 2 slow warning, 2 quick good news, 1 notice."};
  Sentence<0> help_upper_line{" Upper line: ---- as usual, ==== enough, ~~~~ training."};
  Sentence<0> help_scale{" Scale: ---- fresh, .... old but counting, A the age now."};
  Sentence<0> help_back{" Any key brings the values back. The verdict above stays up to date."};
  Sentence<0> small_help_stay{" 1 occupy  2 keep  3 drop  A seen"};
  Sentence<0> small_help_other{" S quiet 2 min  Q leave  any key: back"};
  Sentence<1> does_it_count_now{" Does this second count?   {word}"};
  Sentence<0> points_header{
      "Point            Visit  Status   Plan 95%  Height95%  Used/refused  Main reasons for refusing"};
};
inline constexpr LaidOut kLaidOut;

}  // namespace stillpoint::client
