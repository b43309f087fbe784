#pragma once
/// What the live screen says of its own, in the words of the page; what is so and what to do come from `wire`.
///
/// {off}: "12 mm east". {count}, {seconds}: whole numbers. {length}: "11 mm".

#include "base/sentence.hpp"

namespace stillpoint::client {

struct ScreenSentences {
  // The head and the plate.
  Sentence<0> no_point_open{"No point open"};
  Sentence<1> check_on{"Check on {name}"};
  Sentence<2> on_visit{"{name}, visit {count}"};
  Sentence<1> pole{"pole {metres} m"};
  Sentence<1> antenna{"antenna {metres} m"};
  Sentence<0> does_it_count{"Does this second count?"};
  Sentence<0> ready_to_measure{"Ready to measure?"};
  Sentence<1> quiet{"quiet {time}"};

  // What the figure means.
  Sentence<0> until_it_stops{"until it stops counting"};
  Sentence<0> until_it_counts{"until it counts again"};
  Sentence<0> since_counted{"since a second counted"};
  Sentence<0> without_answer{"without an answer"};
  Sentence<0> pole_moves{"the pole moves"};
  Sentence<0> between_places{"between two places"};
  Sentence<0> will_be_held{"it will be held"};
  Sentence<0> until_check{"until a check is due"};
  Sentence<0> check_due{"a check is due"};
  Sentence<0> point_to_decide{"point to decide"};
  Sentence<0> points_to_decide{"points to decide"};
  Sentence<0> of_check{"of the check is done"};
  Sentence<0> of_point{"of the point is done"};
  Sentence<1> of_named{"of {name} is done"};
  Sentence<2> collected{"{seconds} of {seconds} s are collected."};

  // The one place of alerts.
  Sentence<0> no_alert{"No alert."};
  Sentence<0> no_alert_yet{"None since this screen was opened."};
  Sentence<2> last_alert{"The last: {clock}, {text}"};
  Sentence<0> not_seen{"not seen"};
  Sentence<0> gone_not_seen{"gone, not seen"};
  Sentence<1> gone{"{count} gone"};
  Sentence<1> more_wait{"{count} more"};
  Sentence<0> no_answer_alert{"Stillpoint does not answer."};

  // The values.
  Sentence<0> none_is_open{"no point open"};
  Sentence<2> average{"{seconds} s, {seconds} wanted"};
  Sentence<3> average_refused{"{seconds} s, {seconds} wanted, {count} refused"};
  Sentence<2> average_brief{"{seconds} of {seconds} s"};
  Sentence<0> none_in_use{"none in use"};
  Sentence<0> none_so_far{"none so far"};
  Sentence<1> none_for{"none for {seconds}"};
  Sentence<2> none_for_since{"none for {seconds}, stopped {clock}"};
  Sentence<2> base_at{", base {number} at {number} km"};
  Sentence<0> age_not_told{"age not told by the receiver"};
  Sentence<0> not_told{"not told by the receiver"};
  Sentence<0> too_old{"too old"};
  Sentence<1> late{"late, limit {seconds} s"};
  Sentence<1> beyond{"too old, limit {seconds} s"};
  Sentence<1> fresh{"fresh, limit {seconds} s"};
  Sentence<2> no_proof{"{seconds} without proof, {word}"};
  Sentence<2> error{"{length} (95 %), wanted {length}"};
  Sentence<1> error_alone{"{length} (95 %)"};
  Sentence<2> error_brief{"{length}, wanted {length}"};
  Sentence<1> error_wanted{"not known, wanted {length}"};
  Sentence<0> not_known{"not known"};
  Sentence<1> closing{"closing: {off}"};
  Sentence<0> no_marks{"no marks are set"};
  Sentence<0> no_check_yet{"none yet"};
  Sentence<1> check_failed{"FAILED {clock}"};
  Sentence<1> check_is_due{"due; the last {clock}"};
  Sentence<1> check_passed{"passed {clock}"};
  Sentence<2> check_passed_due{"passed {clock}, due {clock}"};
  Sentence<0> none_kept{"none kept yet"};
  Sentence<2> last_kept_errors{"{length} and {length} (95 %)"};
  Sentence<1> satellites{"{count} satellites"};

  // The acts of the moment.
  Sentence<0> point_open{"point open"};
  Sentence<0> check_open{"check open"};
  Sentence<0> no_receiver{"no receiver"};
  Sentence<0> no_point{"no point"};
  Sentence<0> nothing_yet{"nothing yet"};
  Sentence<0> to_be_held{"will be held"};
  Sentence<0> too_short{"too short"};
  Sentence<0> all_seen{"all seen"};
  Sentence<0> no_alerts{"no alerts"};
  Sentence<0> asks_first{"asks first"};
  Sentence<1> again{"press {key} again"};
  Sentence<1> again_brief{"{key} again"};
  Sentence<0> no_answer{"no answer"};
  Sentence<0> the_rest{"all the rest"};
  Sentence<2> press_to_discard{"{name}: press {key} again to discard it, or hold the key."};
  Sentence<2> press_to_keep{"{name} would be held: press {key} again to keep it so, or hold the key."};
  Sentence<1> waits{"U takes it back for {seconds} s."};
  Sentence<1> goes_on_kept{"{name} goes on: nothing was kept."};
  Sentence<1> goes_on_discarded{"{name} goes on: nothing was discarded."};
  Sentence<0> nothing_done_lost{"Nothing was done: Stillpoint does not answer."};
  Sentence<0> nothing_done_other{"Nothing was done: another point is open."};
  Sentence<0> nothing_to_undo{"There is nothing to take back."};
  Sentence<2> cannot{"{name}: {why}."};
  Sentence<0> idle_key{"This key does nothing: press ? for help."};
  Sentence<0> nothing_changed{"Nothing was changed: Stillpoint does not answer."};

  // What came of an act.
  Sentence<1> accepted{"{name} accepted."};
  Sentence<3> accepted_with{"{name} accepted, {length} horizontal, {length} vertical (95 %)."};
  Sentence<1> in_doubt{"{text} It scatters more than the receiver claims."};
  Sentence<1> held{"{name} held."};
  Sentence<2> held_why{"{name} held: {why}."};
  Sentence<1> empty{"{name} has no second that counts."};
  Sentence<2> off_mark{"{length} off {name}"};
  Sentence<2> check_passed_at{"PASSED: {off}; limit {length}."};
  Sentence<2> check_failed_at{"FAILED: {off}; limit {length}."};
  Sentence<2> off_and_height{"{off}, {length} in height"};

  // What is asked.
  Sentence<0> new_point{"New point"};
  Sentence<0> needs_name{"A point needs a name."};
  Sentence<2> reads_like{"{name} reads like {name}. Use that name, or say that this one is new."};
  Sentence<0> it_is_new{"It is new"};
  Sentence<1> known_already{"{name} is known already. Choose another name, or visit it again."};
  Sentence<0> visit_again{"Visit it again"};
  Sentence<0> check_a_mark{"Check on a mark"};
  Sentence<0> closing_check{"Closing check"};
  Sentence<0> no_marks_set{"No marks are set in the configuration."};
  Sentence<0> stand_on_mark{"Stand on the mark with the pole upright, then choose it."};
  Sentence<2> way{"{length} {word}"};
  Sentence<0> way_not_known{"how far is not known"};
  Sentence<0> held_points{"Held points"};
  Sentence<0> none_held{"No point waits for a decision."};
  Sentence<0> choose_to_decide{"Choose one to decide."};
  Sentence<1> decide{"Decide {name}"};
  Sentence<1> held_because{"Held: {why}."};
  Sentence<0> all_the_same{"all the same, with a reason"};
  Sentence<0> not_to_be_used{"not to be used, with a reason"};
  Sentence<1> accept{"Accept {name}"};
  Sentence<1> reject{"Reject {name}"};
  Sentence<0> say_why{"Say why: the report shows it."};
  Sentence<3> misses_wanted{"{name} misses the wanted error: {length} and {length} (95 %). Accept it although?"};
  Sentence<0> accept_although{"Accept although"};
  Sentence<2> pole_now{"Now {text}, antenna {metres} m above the mark."};
  Sentence<1> antenna_now{"Now the antenna is {metres} m above the mark."};
  Sentence<0> antenna_field{"Antenna, m"};
  Sentence<0> type_height{"Type the height of the antenna above the mark, in metres."};
  Sentence<0> pole_field{"Pole, m"};
  Sentence<0> type_pole{"Type the height that is set on the pole, in metres."};
  Sentence<0> wrong_since{"Since"};
  Sentence<0> from_now_on{"from now on; HH:MM: points since then are held"};
  Sentence<0> type_since{"Say since when as HH:MM, or leave it empty."};
  Sentence<0> amend{"Amend"};
  Sentence<1> amend_this{"Amend {name}"};
  Sentence<0> name_code_note{"name, code or note, with a reason"};
  Sentence<0> make_void{"Make void"};
  Sentence<1> void_this{"Make {name} void"};
  Sentence<0> wrong_mark{"it stands on the wrong mark"};
  Sentence<0> stays_in_report{"It is kept as rejected, and the report shows why."};
  Sentence<0> it_is_open{"open now"};
  Sentence<0> offset_point{"Offset point"};
  Sentence<0> not_stood_on{"what cannot be stood on"};
  Sentence<0> choose_second{"Choose the second kept point."};
  Sentence<0> none_to_measure_from{"No other kept point that you stood on: keep one first, or take a bearing."};
  Sentence<2> of_visit{"{name} visit {visit}"};
  Sentence<1> measured_from{"Measured from {title}, with what?"};
  Sentence<0> with_bearing{"Distance and bearing"};
  Sentence<0> tape_and_compass{"tape and compass"};
  Sentence<0> with_two{"Two distances"};
  Sentence<0> tape_alone{"tape alone, from two kept points"};
  Sentence<1> bearing_from{
      "From {title}: horizontal metres, degrees clockwise from north. Errors are 1 sigma; those offered are common "
      "practice, no source."};
  Sentence<2> distances_from{
      "Horizontal metres from {title}, then from {title}. Side: as you look from the first to the second. The error is "
      "1 "
      "sigma."};
  Sentence<0> distance_field{"Metres"};
  Sentence<0> first_field{"1st metres"};
  Sentence<0> second_field{"2nd metres"};
  Sentence<0> metres_error_field{"+- metres"};
  Sentence<0> bearing_field{"Bearing"};
  Sentence<0> degrees_error_field{"+- degrees"};
  Sentence<0> declination_field{"Declinat."};
  Sentence<0> from_true_north{"none: true north; of a compass: degrees to add, east +"};
  Sentence<0> side_field{"Side"};
  Sentence<0> left_or_right{"left or right"};
  Sentence<0> type_side{"Type left or right, as you look from the first point to the second."};
  Sentence<0> higher_field{"Higher, m"};
  Sentence<0> not_measured{"not measured: the point gets no height"};
  Sentence<0> make_offset{"Make"};
  Sentence<0> close_the_day{"Close the day"};
  Sentence<0> check_comes_last{"A check on a mark comes last, then the day is closed."};
  Sentence<1> closing_check_was{"The closing check: {off}."};
  Sentence<1> decide_held{"Decide {count} held"};
  Sentence<0> make_closing_check{"Make the closing check"};
  Sentence<0> leave_so{"Leave it so, and say why"};
  Sentence<0> left_because{"Left so, because"};
  Sentence<0> day_is_closed{"The day is closed"};
  Sentence<0> no_points_yet{"No point is kept yet."};
  Sentence<1> newest_first{"{count} in all, the newest first, with their errors (95 %)."};
  Sentence<2> pole_is_at{"The pole now: {number}, {number} in the receiver's frame."};
  Sentence<0> newest_points{"Newest points"};
  Sentence<0> check_mark{"Check a mark"};
  Sentence<0> change_pole{"Change the pole"};
  Sentence<0> all_points{"Points"};
  Sentence<0> planned_points{"Planned points"};
  Sentence<0> nothing_planned{"No points are planned in the configuration."};
  Sentence<0> plan_is_done{"Every planned point is measured."};
  Sentence<0> plan_is_done_brief{"no planned point is left"};
  Sentence<0> choose_planned{"Nearest first. Stand on the point, then choose it."};
  Sentence<0> no_plan{"none"};
  Sentence<0> all_done{"all measured"};
  Sentence<0> once_more{"once more"};
  Sentence<1> next_is_planned{"Next of the plan is {way}."};
  Sentence<2> planned_here{"{name} is planned ({way})."};
  Sentence<2> planned_again{"{name} is planned once more ({way})."};
  Sentence<2> planned_far{"{name} is planned {way} of here: is it the right point?"};
  Sentence<0> quiet_2_min{"quiet 2 min: only new alerts sound"};
  Sentence<0> keys_and_signs{"keys and signs"};
  Sentence<0> goes_on{"Stillpoint goes on, an open point stays open"};
  Sentence<1> decide_count{"decide {count}"};
  Sentence<0> is_closed{"the day is closed"};
  Sentence<1> count_in_all{"{count} in all"};
};
inline constexpr ScreenSentences kSayOnScreen;

/// Lines whose blanks put words in columns.
struct ScreenLines {
  Sentence<0> help_begin{"1  Begin: asks for name, code, note.   2  Keep the point."};
  Sentence<0> help_discard{"3  Discard it. Twice, or held; U takes it back for 5 s."};
  Sentence<0> help_twice{"   So is Keep before it is enough: the point is held."};
  Sentence<0> help_seen{"A  The alert is seen and silent.   S  Quiet for 2 min."};
  Sentence<0> help_more{"M  More: check, held, pole, close, points.   Q  Leave."};
  Sentence<0> help_plate{"Frame - counts, / late, = enough, ~ training; dark: NO."};
  Sentence<0> help_half{"Half dark: NO for now, and all is well. X: no answer."};
  Sentence<0> help_scales{"Scales: / late, # too old, A the age now, = the error."};
  Sentence<0> help_bell{"Bell: 3 + 2 stop, 2 slow warning, 2 quick good news."};
  Sentence<0> small_help_keys{"1 begin 2 keep 3 discard U undo"};
  Sentence<0> small_help_other{"A seen  S quiet  M more  Q leave"};
  Sentence<0> small_help_frame{"Frame: - counts / late = enough"};
  Sentence<0> small_help_dark{"Dark: NO. Half dark: all is well."};
  Sentence<0> small_help_bell{"Bell: 3+2 stop 2 warning 2 good"};
};
inline constexpr ScreenLines kScreenLines;

}  // namespace stillpoint::client
