#pragma once
/// What the office's program says: what came out of a comparison, what is left out and why, what it refuses.
///
/// {title}: a point as it is called: "HF-1 visit 2". {visit}: the same of a stay. {bound}: "begins" or "ends".

#include "base/sentence.hpp"

namespace stillpoint::office {

struct Sentences {
  Sentence<0> name_a_verb{"name what to do: stillpoint-office VERB; see stillpoint-office --help"};
  Sentence<1> see_help{"see stillpoint-office {verb}--help"};
  Sentence<0> two_or_more{"merge needs two pointbooks or more"};
  Sentence<2> z_is_ellipsoidal{
      "z is the ellipsoid height, as in {path}; the heights above the geoid {geoid} are in the column "
      "orthometric_height_m"};
  Sentence<0> two_geoids{
      "the heights of these pointbooks are above different geoids; one pointbook has one kind of height, so recompute "
      "one "
      "of them from its record with the other's geoid"};
  Sentence<0> output_lost{"cannot write to standard output"};
  Sentence<5> merged{
      "{path}: {count} points from {count} pointbooks, {count} of them in more than one file and taken once, "
      "{conflicts}"};
  Sentence<1> exists_already{"{path} is there already; name a new file, nothing is overwritten"};
  Sentence<4> two_frames{
      "{path} is in the frame {frame}, {path} in {frame}; one pointbook has one frame, so recompute one of them from "
      "its record with the other's project frame"};
  Sentence<4> two_projects{
      "{path} is of the project \"{name}\", {path} of \"{name}\"; nothing is merged. If they belong together all the "
      "same, say so with --different-projects"};
  Sentence<2> training_and_live{"{path} holds training points and {path} live ones; they are never mixed"};
  Sentence<1> points_beside{"points lie beside {path} that are not in it yet; start its daemon once, then merge"};
  Sentence<2> nothing_merged{"{path}: {error}; nothing is merged"};
  Sentence<0> an_antenna_setup{"an antenna setup"};
  Sentence<0> a_check_shot{"a check shot"};
  Sentence<2> row_changed_by_hand{
      "{what} has other content in two of the files under one identity ({uuid}); one of them was changed by hand"};
  Sentence<6> name_in_both{"{title} is in {path} and in {path}, {apart}; that of {path} is visit {visit}"};
  Sentence<3> number_taken{"{title} of {path} is visit {visit}, for an earlier visit of that file has its number now"};
  Sentence<3> both_changes_kept{
      "{title} was changed in {path} and in {path}; both changes are kept, the one stored last is the newest version"};
  Sentence<4> changed_by_hand{
      "{title} has other content in {path} than in {path} under one identity ({uuid}); one of the files was changed by "
      "hand"};
  Sentence<0> two_places{", more than their 95 % errors allow: two places, or one of them is wrong"};
  Sentence<0> maybe_one_place{", within what their 95 % errors allow: it may be one place, measured twice"};
  Sentence<3> apart{"{metres} m apart horizontally and {metres} m in height{verdict}"};
  Sentence<0> without_coordinates{"one of them without coordinates"};
  Sentence<0> for_this_gate{"For this source's [source.gate]:"};
  Sentence<1> no_log{"nothing can be read in the log: {why}"};
  Sentence<0> sigma_missing{"a receiver test needs --sigma-horizontal and --sigma-vertical above 0 m (1 sigma)"};
  Sentence<0> not_passed{"NOT passed"};
  Sentence<1> full_test{"ISO 17123-8, full test: {verdict}"};
  Sentence<0> chi_square_height{"chi-square, height: s"};
  Sentence<0> chi_square_plan{"chi-square, horizontal: s"};
  Sentence<6> one_set{
      "s (1 sigma of one set): x {metres} m, y {metres} m, horizontal {metres} m, height {metres} m; degrees of "
      "freedom {count} and {count}"};
  Sentence<1> simplified_test{"ISO 17123-8, simplified test: {verdict}"};
  Sentence<0> nominal_missing{
      "the simplified test needs --nominal-distance and --nominal-height between its two points"};
  Sentence<0> over_limit{", it is over its limit"};
  Sentence<0> under_limit{", it is UNDER its limit: less scatter than in the earlier test"};
  Sentence<1> no_check_points{"{path} holds no check points"};
  Sentence<0> the_table{"the table"};
  Sentence<1> rows_beside{"points or checks lie beside {path} that are not in it yet; start the daemon once"};
  Sentence<1> nothing_computed{"{error}; nothing is computed from it"};
  Sentence<1> and_check_shots{" and {count} check shots"};
  Sentence<2> not_as_stored{
      "without any change, {count} points{checks} do not come out of the record as the field stored them, so nothing "
      "is written; give the configuration and the whole record of the day, and see stillpoint-office verify"};
  Sentence<7> new_versions{
      "{path}: {count} of {count} points have a new version, {count} of {count} check shots; the old ones stay. "
      "By {name}: {why}"};
  Sentence<0> applied_before{"; this file was applied before"};
  Sentence<2> nothing_otherwise{"{path}: nothing comes out otherwise, so nothing is written{before}"};
  Sentence<3> check_version{"check on {name} of {time}: version {version}"};
  Sentence<3> version_beside{"{title}: version {version} beside version {version}"};
  Sentence<1> not_recomputed{"{title} does not come out of the recomputation"};
  Sentence<1> no_such_mark{"no mark and no check shot is called {name}; look at the name under [[mark]]"};
  Sentence<4> errors_became{
      "error 95 % horizontal {metres} m became {metres} m, vertical {metres} m became {metres} m"};
  Sentence<2> status_changed{"it was {status} and is {status} now"};
  Sentence<0> stays_rejected{"it stays rejected by hand; decide whether that still holds"};
  Sentence<0> nothing_counts_now{"no second counts any more"};
  Sentence<0> coordinates_now{"it has coordinates now"};
  Sentence<2> nothing_subtracted{
      "{path}, line {line}: the receiver reduced its heights to the mark itself (already_reduced_by_receiver in the "
      "configuration), so no antenna height was subtracted that could be corrected"};
  Sentence<6> within_stay{
      "{path}, line {line}: the antenna correction {bound} in the middle of the stay on {title} ({time} to {time}); "
      "one stay has one height, so give a time between two stays"};
  Sentence<2> at_line{"{path}, line {line}"};
  Sentence<3> no_such_local_time{
      "{place}: clocks in {zone} never show {time}, for they are put forward then; give the time in UTC"};
  Sentence<5> local_time_twice{
      "{place}: clocks show {time} twice, {zone} has it at {time} and at {time}; give the time in UTC"};
  Sentence<1> no_zone{
      "{place}: a local time needs local_time under [project] of the configuration; or give the time in UTC"};
  Sentence<2> unknown_zone{"{place}: this machine knows no time zone {zone}; give the time in UTC"};
  Sentence<1> local_not_after{"{place}: until_local is not after from_local"};
  Sentence<3> no_such_point{
      "{place}: no point of the pointbook is or was called {name}, visit {count}; a name alone is its first visit"};
  Sentence<0> the_redo_file{"the redo file"};
  Sentence<1> earlier_wrong{"an earlier redo cannot be read: {error}"};
  Sentence<1> the_redo_of{"the redo of {time}"};
  Sentence<2> earlier_unreadable{"{path} tells of an earlier redo ({event}) that cannot be read"};
  Sentence<2> no_mark{"{path}, line {line}: no mark in it"};
  Sentence<1> point_without_place{"the point {name} it was made from has no coordinates any more"};
  Sentence<0> and_not_passed{": NOT passed"};
  Sentence<1> and_in_height{" and {metres} m in height"};
  Sentence<6> shot_off{"{name}: {metres} m east, {metres} m north{up}, limit {metres} m horizontal{height}"};
  Sentence<0> no_journal{
      "a log has no journal, which says when points were occupied; a pointbook is compared with the record of the "
      "daemon that wrote it"};
  Sentence<1> record_empty{"there is no log in the record {path}; name them with --log"};
  Sentence<2> record_unreadable{"cannot read the record {path} ({error})"};
  Sentence<1> nothing_in_it{"{path}: no point in it, and none in the record"};
  Sentence<0> verify_again{
      "points or checks lie beside the pointbook that are not in it yet; start the daemon once, then verify again"};
  Sentence<0> check_shots{"check shots"};
  Sentence<0> check_shot{"check shot"};
  Sentence<6> under_other_rules{
      "{path}: {points} made under rules {count}; {count} of them come out otherwise under the present rules {count}, "
      "by up to {metres} m, which is no failure of the record"};
  Sentence<0> made_from_points{"made by hand from points; compared with those only"};
  Sentence<0> made_by_hand{"made by hand; not part of this comparison"};
  Sentence<0> made_by_redo{"made by a redo; not part of this comparison"};
  Sentence<3> all_from_record{
      "{path}: every {what} comes out of the record as the field stored it, to the last bit ({what})"};
  Sentence<3> not_from_record{"{path}: {count} of {what} do NOT come out of the record as the field stored them"};
  Sentence<2> differs_from_point{"{title}: DIFFERS from its point in {values}"};
  Sentence<0> the_same{"the same"};
  Sentence<1> not_in_record{"{title}: the record does not give it"};
  Sentence<1> unanswered{
      "{title}: was recorded and never acknowledged: nothing was promised; stillpoint-reduce gives it"};
  Sentence<1> not_in_book{"{title}: the record gives it, the pointbook does not have it"};
  Sentence<2> same_seconds{"{title}: the same, {count} seconds"};
  Sentence<2> as_saved{"{title}: the same as it was last saved before the program ended, {count} seconds"};
  Sentence<4> other_rules{"{title}: made under rules {count}, comes out otherwise under rules {count} in {values}"};
  Sentence<1> was_open{"{title}: open when the program ended, and not saved yet"};
  Sentence<1> differs_in{"DIFFERS in {values}"};
  Sentence<2> check_of{"check on {name} of {time}"};
  Sentence<0> log_or_config{"--log, or --config and --pointbook"};
  Sentence<2> files_unchanged{"{count} of {count} files of the record are as they were when the day was closed"};
  Sentence<0> gone_since_day{": was there when the day was closed, and is gone"};
  Sentence<0> changed_since_day{": CHANGED since the day was closed"};
  Sentence<1> not_named{"{path}: its checksum file does not name it"};
  Sentence<1> no_checksum_file{"{path}: no checksum file beside it; was it never closed?"};
  Sentence<1> no_such_file{"{path}: there is no such file"};
  Sentence<0> changed_since_closed{": CHANGED since it was closed"};
  Sentence<1> unreadable{"{path}: cannot be read"};
  Sentence<0> bad_checksum_file{"damaged checksum file: a line is not SHA-256, two spaces and a name"};
  Sentence<3> record_broke_off{"{title}: was saved with {count} seconds; the record broke off after {count} of them"};
  Sentence<0> nothing_to_calibrate{"no stay was on a mark, and none has a source: nothing to calibrate"};
  Sentence<0> book_or_log{"--pointbook or --log"};
  Sentence<0> book_marks_or_repeats{"--pointbook, --marks or --repeats"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::office
