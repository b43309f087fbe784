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
  Sentence<1> return_takes{"Return takes: {proposed}"};
  Sentence<0> listening{"Listening to the receiver."};
  Sentence<1> asking_caster{"Asking {host} for its streams."};
  Sentence<0> table_behind_tls{"The table of streams is asked for without TLS only; name the stream."};
  Sentence<1> rate_unusual{"At {number} baud nothing is listened to here: leave the rate out, and it is found."};
  Sentence<1> device_forbidden{"{device} may not be opened: join the group dialout, then log in again."};
  Sentence<1> device_missing{"There is no {device}: is the receiver plugged in, or paired?"};
  Sentence<1> device_in_use{"Another program, perhaps Stillpoint itself, reads {device}: end that first."};
  Sentence<1> no_device{"{device} is no serial device."};
  Sentence<1> device_gone{"{device} went away while it was listened to."};
  Sentence<2> device_failed{"{device} cannot be opened: {why}."};
  Sentence<2> host_unknown{"{host} is not known: {why}."};
  Sentence<2> host_failed{"{host} does not answer: {why}."};
  Sentence<1> check_failed{"stillpointd cannot be started to look at the configuration: {why}."};
  Sentence<1> left_as_it_was{"{path} was left as it was."};
  Sentence<1> cannot_write{"{path} cannot be written: is its folder there, and yours?"};
  Sentence<0> answers_ended{"The answers ended before the last question: nothing was written."};
  Sentence<1> not_usable{"{path} is written, and no day can begin with it before this is put right."};
  Sentence<1> written{"{path} is written and in order."};
  Sentence<1> next_steps{
      "Next: stillpointd --config {path}, then set the page's ruler, and begin with a check on a mark."};
  Sentence<0> next_for_service{
      "Next: systemctl restart stillpointd, then set the page's ruler, and begin with a check on a mark."};
  Sentence<0> listen_range{"--listen takes 1 to 600 s"};
  Sentence<1> check_not_passed{"the check on {name} did not pass; find the cause before the next point counts"};
  Sentence<0> pole_leans{"the pole leans; adjust the bubble and turn again"};
  Sentence<2> renamed{"{method} is called {method} now; stillpoint --help lists what there is"};
  Sentence<1> nothing_compared{"nothing was compared with {name}; begin the check again"};
  Sentence<2> sources_disagree{
      "the two sources do not agree on {name}; points under \"{source}\" are held until they do"};
  Sentence<1> left_held{"Left held: {why}"};
  Sentence<1> by_hand{"By hand: {why}"};
  Sentence<2> no_point{"No point: {why} ({clock} UTC)."};
  Sentence<1> was_held{"It was held: {why}."};
  Sentence<3> shot_minus_mark{"Shot minus mark: {off}, {off}, {off}."};
  Sentence<0> no_plan{"No points are planned."};
  Sentence<2> plan_done{"{count} of {count} planned points are measured."};
  Sentence<0> due_again{"due again"};
  Sentence<0> no_marks{"No marks are configured: nothing can be proved."};
  Sentence<0> passed_with_note{"PASSED, with a note:"};
  Sentence<1> not_compared{"{axis} not compared"};
  Sentence<0> output_lost{"cannot write the answer to the output; is its disk full?"};
  Sentence<3> not_accepted{"{name} is not accepted: {status}{because}"};
  Sentence<0> none_counted{"no second counted"};
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
  Sentence<0> command_wanted{
      "stillpoint: a command is required where there is no terminal, or --plain; see stillpoint --help"};
  Sentence<1> see_help{"{error}; see stillpoint --help"};
  Sentence<0> accept_or_reject{"give --accept or --reject"};
  Sentence<3> points_kept{"{count} safe on disk, {count} in the pointbook, {count} waiting"};
  Sentence<0> and_not_verified{", not verified"};
  Sentence<0> receivers_figure{"the receiver's figure"};
  Sentence<0> if_claim_holds{"the receiver's own error figure, if it holds"};
  Sentence<2> scaled{"{claim} x {scale}"};
  Sentence<1> errors_rest_on{"Errors rest on {text}."};
  Sentence<2> of_station{"{source}, station {number}"};
  Sentence<2> second_errors{"{length} horizontal, {length} vertical (95 %)"};
  Sentence<1> worth_under_one{"; the position moved: {count} epochs worth less than one"};
  Sentence<2> worth_of{"; {count} epochs are worth {worth} independent ones"};
  Sentence<0> this_second{"This second"};
  Sentence<0> error_not_known{"error not known"};
  Sentence<2> no_number{"{what} must be a number, such as 4.20 or 4,20; got \"{typed}\""};
  Sentence<0> the_distance{"the distance"};
  Sentence<0> the_distance_error{"the error of the distance"};
  Sentence<0> the_bearing{"the bearing"};
  Sentence<0> the_bearing_error{"the error of the bearing"};
  Sentence<0> the_declination{"the declination"};
  Sentence<0> the_height{"the height difference"};
  Sentence<0> the_height_error{"the error of the height difference"};
  Sentence<0> one_of_each{"give --distance for each --from, and --visit and --distance-error for each or for none"};
  Sentence<2> far_from{"{metres} m from {name}"};
  Sentence<2> of_visit{"{name} visit {visit}"};
  Sentence<1> on_side{"to the {word} of the way from the first to the second"};
  Sentence<1> from_true_north{" at {degrees} degrees from true north"};
  Sentence<3> from_magnetic_north{
      " at {degrees} degrees from magnetic north, {degrees} degrees of declination: {degrees} from true north"};
  Sentence<0> height_not_measured{"; its height was not measured"};
  Sentence<1> above_it{"; {metres} m above it"};
  Sentence<1> above_both{"; {metres} m above the mean of both"};
  Sentence<1> offset_from{"Measured {text}."};
  Sentence<0> since_is_no_time{"say since when as HH:MM, or as 2026-06-03T14:05:00Z"};
  Sentence<0> no_date_for_since{"the receiver has told no date yet; say since when as 2026-06-03T14:05:00Z"};
  Sentence<1> antenna_above{"The antenna is {metres} m above the mark."};
  Sentence<0> no_alerts_today{"No alerts today."};
  Sentence<0> until_now{"until now"};
  Sentence<1> coming_and_going_again{"coming and going x{count}"};
  Sentence<0> safe_in_book{"Safe in the pointbook."};
  Sentence<0> safe_on_disk{"Safe on disk; it goes into the pointbook next."};
  Sentence<0> scatter_too_large{
      "The seconds scatter more than the receiver's own error figure allows: mistrust it here."};
  Sentence<0> claim_not_proven{"Averaging does not reduce the error: the receiver's claim is not proven."};
  Sentence<4> error_of_point{"Error horizontal {length}, vertical {length} at 95 %, if {condition}{verified}."};
  Sentence<2> adding_nothing{"Adding nothing: visit {visits}{when}"};
  Sentence<1> counts_after{"another visit counts after {clock} UTC"};
  Sentence<2> visits_disagree{
      "The visits disagree ({length} horizontally, {length} in height): one is wrong; visit it again."};
  Sentence<0> not_verified{", not verified."};
  Sentence<5> together{"{name}: {visits}; together horizontal {length}, vertical {length} at 95 %{verified}"};
  Sentence<1> no_accepted_visit{"{name}: no accepted visit yet."};
  Sentence<1> not_closed{
      "Not closed: {count} of these points are of a day that is not closed; see stillpoint close-day --help."};
  Sentence<1> not_calibrated{"Not verified: nobody has calibrated the error figure of {list} on a known mark."};
  Sentence<1> errors_if_assumed{
      "Horizontal and vertical error of {points}: if assumed_sigma_m of the configuration holds, for the receiver "
      "gives no error."};
  Sentence<0> errors_if_claim_holds{
      "Horizontal and vertical: error of the point at 95 %, if the receiver's own error figure holds."};
  Sentence<0> no_points{"No points yet. Begin one: stillpoint begin NAME"};
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
};
inline constexpr Sentences kSay;

/// Lines of a screen or a table: their blanks put words in columns.
struct LaidOut {
  Sentence<0> points_header{
      "Point            Visit  Status   Horizontal   Vertical  Used/refused  Main reasons for refusing"};
};
inline constexpr LaidOut kLaidOut;

}  // namespace stillpoint::client
