#pragma once
/// What the session tells: alerts, what happened, faults of a second, answers to commands, what is wrong in a visits
/// file.
///
/// {check}: the sentence of a check. {age}: "12 s old", "of unknown age" or "unproven for 40 s, since …". {visits}:
/// "visit 2".

#include "base/sentence.hpp"

namespace stillpoint::session {

struct Sentences {
  // Of checks.
  Sentence<0> no_marks{"no marks are configured; name their file under [checks] as marks"};
  Sentence<1> no_mark{"no mark is called {name}; see stillpoint marks"};
  Sentence<1> mark_is_base{
      "{name} is the base: corrections come from it, so it cannot check itself; take another mark"};
  Sentence<1> no_heading{"the pole faces N, E, S or W in a turn test; \"{word}\" is none of them"};
  Sentence<1> checking{"checking on {name}; keep it when enough seconds have counted"};
  Sentence<2> turning{
      "turn test on {name}: let the pole face {heading}, level the bubble, stand still; keep it when enough seconds "
      "have counted"};
  Sentence<1> stay_on{"the stay on {name}"};
  Sentence<1> check_on{"the check on {name}"};
  Sentence<2> does_not_count{"{what} does not count: {why}; begin it again"};
  Sentence<0> nothing_counted{"no second had counted"};
  Sentence<2> not_comparable{"{what} cannot be compared: {error}"};
  Sentence<0> no_check_yet{"no check has been made since the start"};
  Sentence<1> check_long_ago{"the last check was {count} min ago or more"};
  Sentence<1> check_due{"a check on a mark is due: {why}"};
  Sentence<1> check_failed{"{check}; points are held until a check passes"};
  Sentence<1> overlap_due{"an overlap check is due: {why}"};
  Sentence<1> last_check_failed{"the last check failed: {check}"};
  Sentence<1> newest_check_failed{"the newest check failed: {check}"};
  Sentence<1> kept_since{
      "{points} kept after the newest check; the day closes on a passing check with no point after it"};
  Sentence<1> pole_faces{"The pole faces {heading}."};
  Sentence<0> nothing_proves{"no marks configured: nothing can be proved"};
  Sentence<0> none_yet{"none yet; due"};
  Sentence<1> overlap_told{"; overlap check due: {why}"};
  Sentence<2> no_overlap{"no mark has passing checks under \"{source}\" and under {list}; check one mark under both"};
  Sentence<6> turn_next{
      "stay {count} of 4 on {name} is kept, the pole facing {heading}; turn the pole to face {heading} and begin the "
      "next: check {name} --turn {word}"};

  // Of corrections and the receiver.
  Sentence<1> age{"{seconds} s old"};
  Sentence<0> unknown_age{"of unknown age"};
  Sentence<2> unproven{"unproven for {seconds} s {since}"};
  Sentence<2> coasting{"corrections {age}; they count for another {seconds} s"};
  Sentence<0> unlisted{"corrections from an unlisted station"};
  Sentence<2> source_changed{"source changed from \"{source}\" to \"{source}\": take one mark under both"};
  Sentence<0> no_age{"the receiver gives no correction age; seconds do not count"};
  Sentence<0> lost{"corrections lost: the receiver uses none; seconds do not count"};
  Sentence<2> stale{"corrections {age}, limit {seconds} s: seconds do not count"};
  Sentence<1> stopped{"no corrections reach the receiver: {cause}"};
  Sentence<2> stopped_at{"no corrections since {clock}: {cause}"};
  Sentence<1> stopped_too_old{"no corrections, no second counts: {cause}"};
  Sentence<2> stopped_at_too_old{"none since {clock}, no second counts: {cause}"};
  Sentence<0> unused{"corrections reach the receiver, and it does not use them: its own age of them goes on growing"};
  Sentence<0> unused_too_old{
      "corrections reach the receiver, and it does not use them: too old now, seconds do not count"};
  Sentence<1> delivered{"the newest came {seconds} s ago"};
  Sentence<0> not_delivered_yet{"none yet"};
  Sentence<1> never_delivered{"none so far. {cause}."};
  Sentence<2> none_for{"none for {seconds} s. {cause}."};
  Sentence<3> none_for_since{"none for {seconds} s. {cause} (stopped at {clock})."};

  // Of the base.
  Sentence<2> base_changed{"corrections come from another base, station {number} instead of {number}: begin again"};
  Sentence<2> base_moved{"base {number} says that it stands {metres} m elsewhere than before: begin again"};
  Sentence<0> base_did_change{"the base changed"};
  Sentence<1> base_says{"the base says: {said}"};
  Sentence<1> base_is_virtual{"base {number} is worked out near you by the network, so that it proves no frame"};
  Sentence<1> base_unknown{
      "no published place of base {number} is among the marks (status base), so that it proves no frame"};
  Sentence<1> held_for_frame{"the base contradicts the frame of \"{source}\": correct the configuration"};
  Sentence<0> frozen{"the feed repeats itself: position, DOP and age stand still"};
  Sentence<0> out_no_data{"no data from the receiver"};
  Sentence<0> out_too_old{"corrections too old"};
  Sentence<0> out_not_used{"no corrections in use"};
  Sentence<3> outage{"corrections out for {seconds} s: {why}{place}"};
  Sentence<3> outages{"{outages} of corrections, {seconds} s in all, the longest {seconds} s"};
  Sentence<1> no_position_for{"the receiver talks but gave no position for {seconds} s"};
  Sentence<1> noise_for{"bytes but no sentence from the receiver for {seconds} s; is the baud rate right?"};
  Sentence<1> nothing_for{"nothing from the receiver for {seconds} s"};
  Sentence<2> satellites_fell{"satellites fell from {count} to {count} at once: mistrust the fix for a moment"};
  Sentence<1> feed_late{"the feed comes {seconds} s late: seconds do not count until it has caught up"};
  Sentence<1> date_contradicted{"the receiver's date is contradicted: {why}; seconds do not count"};
  Sentence<3> dates_lifted{
      "the receiver's dates are {days} too early and were put right by {what} (week-rollover): now {date}"};
  Sentence<0> by_the_clock{"this computer's clock"};
  Sentence<0> by_the_archive{"archive_dates in the configuration"};
  Sentence<1> dates_as_printed{"the receiver's dates are taken as printed: now {date}"};
  Sentence<2> dates_behind{
      "the receiver's date, {date}, stands {days} before this computer's clock; one of the two is wrong"};
  Sentence<5> visits_missed{
      "{visits} {days} {before} the log, which is of {date} to {date}; do the dates of one of them stand wrong?"};
  Sentence<0> source_did_change{"the source changed"};
  Sentence<0> settings_changed{"the receiver's settings changed"};
  Sentence<1> nothing_judged{"nothing is judged: {why}"};
  Sentence<0> feed_ended{"the feed has ended"};
  Sentence<1> waiting{"waiting for the receiver: {feed}"};
  Sentence<2> feed_stale{"corrections {age}, limit {seconds} s"};
  Sentence<0> no_position_yet{"no position from the receiver yet"};

  // Of a stay.
  Sentence<0> other_place{"at another place than this point began"};
  Sentence<0> other_corrections{"other corrections than this point began with"};
  Sentence<1> one_lost{"{epochs} no longer counts"};
  Sentence<1> some_lost{"{epochs} no longer count"};
  Sentence<1> one_gained{"{epochs} counts after all"};
  Sentence<1> some_gained{"{epochs} count after all"};
  Sentence<1> point_is_here{"{lost}: the point lies where you measure now"};
  Sentence<1> set_apart{"{metres} m horizontally from the other seconds of this stay: set apart"};
  Sentence<1> set_apart_up{"{metres} m in height from the other seconds of this stay: set apart"};
  Sentence<2> walked{"you are {metres} m away from {name}, which is still open: set apart"};
  Sentence<2> left{"you walked {metres} m away from {name}, which is still open: go back, keep or discard it"};
  Sentence<2> jumped{
      "position jumped {metres} m horizontally on a standing pole (claim at 95 %: {metres} m): set apart"};
  Sentence<2> jumped_up{"height jumped {metres} m on a standing pole (claim at 95 %: {metres} m): set apart"};
  Sentence<2> jumped_both{
      "position jumped {metres} m horizontally, {metres} m in height on a standing pole: set apart"};
  Sentence<0> ended_on_the_day{"it ended here on the day"};
  Sentence<1> longest_stay{"the longest stay of {seconds} s is reached"};
  Sentence<0> error_reached{"the wanted error is reached"};
  Sentence<0> wait_for_first{"Stand still and wait for the first second that counts."};
  Sentence<0> gap{"a gap in the receiver's data"};
  Sentence<0> clock_back{"the receiver's clock stepped back"};
  Sentence<0> link_cut{"the link to the receiver was cut"};
  Sentence<0> program_stopped{"the program was stopped"};
  Sentence<0> kept_by_hand{"kept by hand"};
  Sentence<0> antenna_changed{"the antenna height changed"};
  Sentence<2> visit{"{name} visit {visit}"};
  Sentence<3> ended{"{stay} ended: {why}; {result}"};
  Sentence<1> it_is{"it is {status}"};

  // Answers to commands.
  Sentence<1> not_found{"no point is called {name} yet; leave out --again for a first visit"};
  Sentence<1> known_name{"{name} is in the pointbook already; choose another name, or --again for a repeat visit"};
  Sentence<2> near_point{
      "{name} reads like {name}, which is there already; use that name with --again, or say --new if it is another "
      "point"};
  Sentence<3> near_mark{
      "{name} reads like the mark {name}; check {name} to compare with it, or say --new if it is another point"};
  Sentence<2> near_visit{
      "{name} reads like {name}, which is planned; use that name, or say --new if it is another point"};
  Sentence<1> visit_number{"visit {visit}"};
  Sentence<1> bears_out{"{visits} bears it out"};
  Sentence<2> decided{"{visits} was {status} by hand"};
  Sentence<1> not_initialized{"Not initialized anew since {visits}: restart the receiver, then measure."};
  Sentence<2> too_soon{"Too soon after {visits}: a new visit counts after {clock}."};
  Sentence<0> no_name{"a point needs a name"};
  Sentence<1> long_name{"the name is longer than {count} bytes"};
  Sentence<0> control_in_name{"the name holds a control character"};
  Sentence<1> is_open{"{name} is open; keep or discard it first"};
  Sentence<2> amended{"{stay} was amended: it is {name} now"};
  Sentence<1> is_amended{"it is {stay} now"};
  Sentence<2> renamed{"{visits} is called {name} now"};
  Sentence<1> began{"began {stay}"};
  Sentence<2> is_begun{"{name} is open, visit {visit}"};
  Sentence<2> not_counting_yet{"{answer}; not counting yet: {why}"};
  Sentence<0> no_data{"no data"};
  Sentence<1> began_check{"began a check on the mark {name}"};
  Sentence<0> none_to_keep{"no point is open; begin one first"};
  Sentence<1> none_counted_yet{"no second has counted on {name} yet; wait, or discard it"};
  Sentence<1> kept{"{name} is kept"};
  Sentence<0> none_to_discard{"no point is open; there is nothing to discard"};
  Sentence<1> discarded_check{"{what} is discarded"};
  Sentence<1> discarded{"{name} is discarded; nothing was stored"};
  Sentence<1> discarded_by_hand{"{stay} was discarded by hand"};
  Sentence<0> stays_accepted{"its stays are accepted again"};
  Sentence<1> known_offset{"{name} is in the pointbook already; give the offset point a name of its own"};
  Sentence<1> stay_is_open{"{title} is still open; keep it first, then measure from it"};
  Sentence<1> no_stay{"{title} is no kept point; see stillpoint points"};
  Sentence<5> offset_by_bearing{
      "{name} is {metres} m from {title} at {degrees} degrees from true north; horizontal error {metres} m"};
  Sentence<6> offset_by_distances{
      "{name} is {metres} m from {title} and {metres} m from {title}; horizontal error {metres} m"};
  Sentence<0> reduced_by_receiver{
      "the receiver reduces its heights to the mark itself; change it there and in the configuration"};
  Sentence<0> why_antenna{"say why the antenna height changes"};
  Sentence<1> bad_antenna{"an antenna height of {metres} m cannot be right; metres from 0 to 30"};
  Sentence<1> same_antenna{"the antenna is {metres} m above the mark already"};
  Sentence<1> antenna_is{"the antenna is {metres} m above the mark, and stays so"};
  Sentence<3> antenna_became{"antenna height {metres} m became {metres} m: {why}"};
  Sentence<0> none_to_see{"no alert was waiting to be seen"};
  Sentence<1> seen{"{count} marked as seen"};
};
inline constexpr Sentences kSay;

/// What began with an alert, for where there is room for 48 characters: a capital and a full stop are put on. No value
/// that goes on changing stands in one.
struct BriefSentences {
  Sentence<1> late{"corrections late, over {seconds} s"};
  Sentence<1> too_old{"corrections too old, over {seconds} s"};
  Sentence<0> no_age{"the receiver gives no correction age"};
  Sentence<0> lost{"corrections lost: the receiver uses none"};
  Sentence<0> unlisted{"corrections come from an unlisted station"};
  Sentence<0> unused{"the receiver does not use its corrections"};
  Sentence<0> base_changed{"corrections come from another base"};
  Sentence<0> base_moved{"the base stands elsewhere than before"};
  Sentence<0> frame_contradicted{"the base contradicts the frame"};
  Sentence<0> frozen{"the receiver repeats itself"};
  Sentence<1> silent{"receiver silent, over {seconds} s"};
  Sentence<0> noise{"bytes but no sentence: is the baud rate right?"};
  Sentence<0> no_position{"the receiver gives no position"};
  Sentence<0> unreachable{"the receiver cannot be reached"};
  Sentence<0> source_changed{"corrections come from another source"};
  Sentence<0> settings_changed{"the receiver's settings changed"};
  Sentence<2> satellites_fell{"satellites fell from {count} to {count}"};
  Sentence<1> jumped{"jump of {metres} m, pole standing"};
  Sentence<1> jumped_up{"jump of {metres} m in height, pole standing"};
  Sentence<0> left{"you walked away from the open point"};
  Sentence<0> feed_late{"the receiver's seconds come late"};
  Sentence<0> date_contradicted{"the receiver's date is contradicted"};
  Sentence<0> geoid_contradicted{"the receiver's geoid is not the project's"};
  Sentence<0> check_due{"a check on a mark is due"};
  Sentence<0> check_failed{"check failed: points are held until one passes"};
};
inline constexpr BriefSentences kSayBriefly;

/// Of a visits file.
struct VisitsFileSentences {
  Sentence<2> at{"{path}: {fault}"};
  Sentence<1> no_utf8{"{value} is no UTF-8; save the file as UTF-8"};
  Sentence<0> open_quote{"a quote is left open"};
  Sentence<2> fields{"{count} fields, 4 wanted ({list})"};
  Sentence<0> empty_name{"the name is empty"};
  Sentence<0> the_name{"the name"};
  Sentence<0> the_code{"the code"};
  Sentence<1> bad_start{"start {value} is not a time like 2026-06-03T14:05:10Z"};
  Sentence<1> bad_end{"end {value} is not a time like 2026-06-03T14:05:10Z"};
  Sentence<1> ends_early{"{name} ends before it starts"};
  Sentence<2> bad_header{"{path}, line 1: the header must be {list}"};
  Sentence<1> no_visit{"{path}: no visit in it; add a line below the header"};
};
inline constexpr VisitsFileSentences kSayOfFile;

}  // namespace stillpoint::session
