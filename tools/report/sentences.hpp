#pragma once
/// What the report of a day says: its answer, what is to be decided, headings, and what its tables and drawings mean.
///
/// {since}, {doubt}: where in the day a point is doubtful. {verb}: "is" or "are", "rests" or "rest".

#include "base/sentence.hpp"

namespace stillpoint::report {

struct Sentences {
  Sentence<0> as_configured{"as configured"};
  Sentence<1> antenna_height{"antenna height {metres}"};
  Sentence<4> became_version{"{name} became version {count}, {status}{moved}"};
  Sentence<0> not_moved{"; not moved"};
  Sentence<0> has_coordinates_no_more{"; it has no coordinates any more"};
  Sentence<0> has_coordinates_now{"; it has coordinates now"};
  Sentence<0> sums_differ{
      "The seconds in the points and the seconds stored beside them do not add up; see the table of refusals."};
  Sentence<2> rests_on_claims{
      "{points}{verb} on the receiver's own error figures, which nobody has calibrated: the errors are claims until "
      "then."};
  Sentence<0> points_miss_wanted_error{"points miss the wanted error"};
  Sentence<5> misses_wanted{
      "{name} has errors of {metres} in plan and {metres} in height at 95 %, wanted {metres} and {metres}. Visit it "
      "again, or say why it will do."};
  Sentence<3> check_failed{"The check on {name} at {time} failed{diagnosis}. Find the cause before delivering."};
  Sentence<0> unchecked_at_the_end{
      "The last points were measured after the last check. Check a mark, or say why they may stay."};
  Sentence<0> nothing_checked{"No control mark was checked. Decide whether the points may be used without one."};
  Sentence<0> day_open{"The day was not closed. Close it, or say why it cannot be."};
  Sentence<0> spool_waits{
      "Points lie in the spool beside the pointbook and are missing here. Start the daemon once, then make this report "
      "again."};
  Sentence<1> rows_damaged{
      "{rows} of the pointbook no longer match their fingerprints. Find an untouched copy, or recompute from the "
      "recorded bytes."};
  Sentence<1> merging{"Merging: {conflict}. Decide which holds."};
  Sentence<3> two_visits_apart{
      "{name}: visits {count} and {count} lie farther apart than their 95 % errors allow. Find out which is wrong; do "
      "not average them."};
  Sentence<4> visits_apart{
      "{name}: visits {list} lie up to {metres} in plan and {metres} in height apart, more than their errors allow. "
      "Find out which is wrong; do not average them."};
  Sentence<0> points_doubtful{"points are doubtful"};
  Sentence<0> points_have_no_second{"points have no second that counts"};
  Sentence<0> points_held{"points are held"};
  Sentence<2> is_doubtful{"{name} is doubtful: it lies {doubt}. Measure it again, or say why it may stay."};
  Sentence<1> nothing_counts_now{
      "{name} has no second that counts any more, since it was computed again. Measure it again, or correct the "
      "correction."};
  Sentence<2> and_further{"{count} further {others}; the table of points names them."};
  Sentence<2> is_held{"{name} is held{why}. Accept or reject it, with a reason."};
  Sentence<2> after_failed_check{"after the check on {name} that failed at {time}, before another passed"};
  Sentence<0> since_start{"the start"};
  Sentence<1> since_check{"the check that passed at {time}"};
  Sentence<3> before_failed_check{"between {since} and the check on {name} that failed at {time}"};
  Sentence<1> see_help{"{error}; see stillpoint-report --help"};
  Sentence<1> cannot_make_folder{"cannot make the folder {path}"};
  Sentence<0> not_readable{"not readable"};
  Sentence<1> left_to_decide{"left to decide: {count}"};
  Sentence<1> cannot_write{"cannot write {path}; check its folder's rights and free space"};
  Sentence<0> safety_limits{"Safety and limits"};
  Sentence<0> each_stay{"Each stay"};
  Sentence<0> how_error_fell{"How the error fell"};
  Sentence<0> done_hand{"Done by hand"};
  Sentence<0> day{"The day"};
  Sentence<0> seconds_did_not_count{"Seconds that did not count"};
  Sentence<0> repeat_visits{"Repeat visits"};
  Sentence<0> checks_known_marks{"Checks on known marks"};
  Sentence<0> files_their_sha{"Files and their SHA-256"};
  Sentence<0> what_office_must_decide{"What the office must decide"};
  Sentence<0> how_accurate{"How accurate"};
  Sentence<6> measured_and_made{
      "Measured {time} to {time} UTC{crews}. Report made {time} UTC by stillpoint-report {version}. {frame_and_epoch}"};
  Sentence<1> by_crew{" by crew {value}"};
  Sentence<0> report{"Stillpoint report"};
  Sentence<0> thunder{"Stop at the first thunder, and wait 30 minutes after the last."};
  Sentence<0> overhead_lines{
      "A range pole conducts: keep at least 3 m (10 ft) from overhead lines of up to 50 kV, farther from higher "
      "voltages (29 CFR 1910.333) and where the line's owner says so."};
  Sentence<0> buried_lines{
      "Before anything is driven into the ground at one of them, have the buried lines marked (in the United States "
      "call 811)."};
  Sentence<0> not_for{
      "These points are not for property boundaries, navigation where lives depend on it, guiding machines, clearance "
      "for excavation or certified elevations."};
  Sentence<0> law_first{"Local law, the employer's rules and licensed practice come before anything written here."};
  Sentence<0> rows_do_not_match{"These rows do not match their own SHA-256:"};
  Sentence<0> all_rows_match{"Every row of the pointbook matches its own SHA-256."};
  Sentence<2> geojson{
      "points.geojson: longitude, latitude and {kind_of_height} as delivered, in the geographic base of the frame "
      "{frame},"
      " which its member \"frame\" names. RFC 7946 means WGS 84; moving the points there would cost up to two "
      "metres of certainty, so a map program draws them where they are in their own frame."};
  Sentence<0> apostrophes{
      " (a text that begins with =, +, - or @ has an apostrophe before it, so that no spreadsheet takes it for a "
      "formula; it is not part of the text)"};
  Sentence<1> other_epochs{
      " to {year}. Points of different epochs stand in one table: bring them to one epoch before comparing them at the "
      "centimetre"};
  Sentence<2> frame_and_epoch{"Frame {frame}, coordinate epoch {year}"};
  Sentence<0> wrong_coordinates{
      "The accuracy of the control marks' own coordinates, beyond what their limits allow for."};
  Sentence<0> wrong_mark{"Whether the tip stood on the right mark, and whether the bubble was in its middle."};
  Sentence<0> wrong_fix{"A fix that was wrong for the whole of a stay, and slow errors that no scatter shows."};
  Sentence<0> wrong_antenna{"A wrong antenna height, beyond what the second reading proves."};
  Sentence<0> wrong_frame{
      "A wrong reference frame or coordinate epoch of a correction source: it moves every point alike, by up to "
      "metres."};
  Sentence<1> tested_vertical{", tested {metres} vertical accuracy at 95 % (NSSDA)"};
  Sentence<1> tested_horizontal{"Tested {metres} horizontal accuracy at 95 % (NSSDA)"};
  Sentence<1> too_few_marks{
      "Fewer than {count} marks: no tested accuracy at 95 % is claimed (FGDC-STD-007.3-1998 wants 20)."};
  Sentence<0> last_shots{
      "Over the last shot on each mark. The marks' own survey error is not in these figures: the pointbook does not "
      "hold it."};
  Sentence<5> within_limits{
      "{shots} on {marks}, {count} within their limits. Largest difference {metres} in plan{height}."};
  Sentence<0> no_mark_shot{"No known mark was shot. Nothing outside the receiver confirms these points."};
  Sentence<5> errors_at_most{
      "The 95 % errors of the {points} are at most {metres} in plan and {metres} in height; half of them are at most "
      "{metres} and {metres}. They come from the receiver's own error figures and from the scatter of the seconds. "
      "They are right only if those figures are."};
  Sentence<0> no_accepted_point{"No point is accepted, so nothing is said."};
  Sentence<2> for_wanted{" for an error of {metres} in plan and {metres} in height at 95 %"};
  Sentence<2> decisions_first{"{decisions}{verb} wanted first; they are listed below."};
  Sentence<0> nothing_left{"Nothing is left to decide."};
  Sentence<0> no_antenna_height_recorded{"No antenna height was recorded."};
  Sentence<0> subtracted_by_receiver{"already subtracted by the receiver"};
  Sentence<0> second_reading_ft{"Second reading, ft"};
  Sentence<0> antenna_above_mark{"Antenna above the mark"};
  Sentence<0> nothing_recorded{"Nothing was recorded."};
  Sentence<0> not_recorded{"not recorded"};
  Sentence<0> what_people_did{"What people did"};
  Sentence<0> no_other_alert{"There were no other alerts."};
  Sentence<0> other_alerts{"All other alerts"};
  Sentence<0> no_jump{"No jump was seen."};
  Sentence<0> jumps{"Jumps while the pole stood still"};
  Sentence<0> what_said{"What was said"};
  Sentence<0> what_else_noted{"What else was noted"};
  Sentence<0> no_correction_alert{"Corrections and receiver were there all day."};
  Sentence<0> correction_alerts{"Alerts about corrections or receiver"};
  Sentence<0> over_utc{"Over at, UTC"};
  Sentence<0> outages_summed_up{"Outages of corrections as the day summed them up"};
  Sentence<0> not_over{"not over by the end"};
  Sentence<0> reasons_explained{
      "A second can have several reasons. Under First reason each is counted once, so that column adds up."};
  Sentence<0> all_counted{"Every second of every stay counted."};
  Sentence<1> without_seconds{" {stays} came without seconds."};
  Sentence<0> sums_agree{"The sums agree."};
  Sentence<0> stored_beside_them{"Stored beside them"};
  Sentence<0> points{"In the points"};
  Sentence<0> do_sums_agree{"Do the sums agree"};
  Sentence<0> among_reasons{"Among the reasons"};
  Sentence<0> first_reason{"First reason"};
  Sentence<0> refused_by_reason{"Seconds of the stays that did not count, by reason"};
  Sentence<0> no_mark_checked{"No control mark was checked."};
  Sentence<0> shots_on_marks{"Shots on control marks, shot minus mark"};
  Sentence<1> when_visits_count{
      "A visit counts when it is accepted, of the same source, frame and epoch, 45 min or more from the others and "
      "with the receiver initialized anew. Allowed, for visits that count and for all others: the two 95 % errors, "
      "added as squares, times {factor}."};
  Sentence<0> none_twice{"No point was visited twice."};
  Sentence<0> allowed_height{"Allowed height, m"};
  Sentence<0> allowed_plan{"Allowed plan, m"};
  Sentence<0> visited_again{"Points visited again, each visit minus the one before"};
  Sentence<0> one_visit{"one visit proves nothing"};
  Sentence<0> left_out{"Left out"};
  Sentence<0> apart_up{"Apart up, m"};
  Sentence<0> apart_plan{"Apart plan, m"};
  Sentence<0> visits_that_count{"Visits that count"};
  Sentence<0> visits_together{"What the visits of each point say together"};
  Sentence<0> worth_explained{
      "Worth: how many independent seconds the stay came to; moved: less than one. Scatter: 1 sigma of the counted "
      "seconds in plan, which is no accuracy, because slow errors do not show in it."};
  Sentence<0> no_point{"The pointbook holds no point."};
  Sentence<0> coordinate_epoch{"Coordinate epoch"};
  Sentence<0> source_station{"Source and station"};
  Sentence<0> where_from{"Where each point comes from"};
  Sentence<0> heights_explained{
      "An e behind a height: above the ellipsoid. Without it: above the geoid named in the CSV file. Plan 95 %: the "
      "radius that holds the truth in 95 of 100 cases, if the receiver's own error figures are right. Height 95 %: the "
      "same, up or down."};
  Sentence<0> longitude_degrees{"Longitude, degrees"};
  Sentence<0> latitude_degrees{"Latitude, degrees"};
  Sentence<1> points_in{"Points in {frame}, one row a stay"};
  Sentence<2> squares_of_checks{
      "North is up, one square is {metres} m. The numbers are those of the table. The largest is {metres} off in "
      "plan."};
  Sentence<0> checks_shot_minus_mark{"Checks, shot minus mark"};
  Sentence<0> curves_explained{
      "The stays with the largest error at their end, at most three. The curve is computed from the stored seconds "
      "that counted, without the floor of the source, so its end may lie below the error in the table."};
  Sentence<0> no_curve{"No stay has enough seconds for a curve."};
  Sentence<0> states_known{"fresh, coasting, stale or none"};
  Sentence<0> states_and_unknown{"fresh, coasting, stale or none, or of unknown age"};
  Sentence<2> ages_explained{
      "Above: the age of the corrections in seconds, at most {seconds} s. Below: when they were {states}, and which "
      "seconds counted. Between the stays nothing is drawn, because only stays are kept in the pointbook."};
  Sentence<0> no_timed_second{"No second of a stay has a time."};
  Sentence<3> error_fell{
      "The 95 % error in plan of the mean, in metres, was {metres} after the first second that counted and {metres} "
      "after the last, {duration} later."};
  Sentence<0> no_places{"No stay has seconds with a place in the frame."};
  Sentence<0> drawing_explained{
      "North is up. A dot is a second that counted, a cross one that was refused, an open square one that was set "
      "apart. The thin ellipse holds 95 % of single seconds, the thick one is the 95 % error of the mean; it is often "
      "the larger, because what does not scatter stays in the mean. The middle is the point as delivered."};
  Sentence<1> square_size{"One square is {metres} m in every drawing of this source."};
  Sentence<2> plan_of_mean{"{text}. Plan, 95 % of the mean: {metres}."};
  Sentence<1> and_placeless{", {count} without a place in the frame"};
  Sentence<1> and_outside{", {count} outside the drawing"};
  Sentence<3> counted_refused{"{count} counted, {count} refused, {count} set apart"};
  Sentence<1> can_be_used{"Can these points be used{for_what}?"};
  Sentence<0> from_seconds{"From the seconds themselves"};
  Sentence<0> from_marks{"From control marks"};
  Sentence<0> not_covered{"Not covered by any figure here"};
  Sentence<4> sums_of_stays{"{stays}: {points}, {count} held, {count} rejected."};
  Sentence<1> and_in_height{", {metres} in height"};
  Sentence<1> report_of_the_day{"{name}, report of the day"};
  Sentence<4> accepted_by_hand{"{point} was held ({why}) and accepted by hand by {user}: {reason}."};
  Sentence<0> ellipsoid_height{"ellipsoid height"};
  Sentence<1> height_above{"height above the geoid {geoid}"};
  Sentence<1> heights_above{". Heights, and z in the pointbook, are above the geoid {geoid}"};
  Sentence<1> geojson_note{
      "Longitude, latitude and {kind_of_height} as delivered, in the geographic base of the frame named here, at the "
      "coordinate "
      "epoch of each point. Not WGS 84, which RFC 7946 means when nobody has agreed on another: the two differ by up "
      "to "
      "two metres."};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::report
