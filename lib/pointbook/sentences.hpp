#pragma once
/// What the pointbook and the files beside it say: why a row or a file is refused, what is damaged, what happened, and
/// the words that a GIS program shows of the tables.
///
/// {row}: a row as it is called: "HF-1", "the check shot on CP-1 of 2026-06-03T14:05:10Z, version 1". {error}: what the
/// operating system or SQLite says. {what}: what is wrong, in words.

#include "base/sentence.hpp"

namespace stillpoint::pointbook {

struct Sentences {
  Sentence<1> names_no_file{"\"{path}\" names no file; name one, such as day.gpkg"};
  Sentence<2> cannot_look_into{"cannot look into {path} ({error}); check the rights of this user"};
  Sentence<1> no_folder{"the folder {path} does not exist; create it first"};
  Sentence<1> is_folder{"{path} is a folder; name a file in it"};
  Sentence<1> is_no_file{"{path} is no file but a pipe or a device; choose another file name"};
  Sentence<1> journal_not_set{"cannot set the journal of {path}; another program may hold it"};
  Sentence<1> holds_training{"{path} holds training points; live work needs a pointbook of its own"};
  Sentence<1> holds_live{"{path} holds live points; training needs a pointbook of its own"};
  Sentence<3> other_frame{
      "{path} is locked to the frame {frame}, the project asks for {frame}; one pointbook has one frame, so choose "
      "another file name"};
  Sentence<1> other_database{"{path} is not a pointbook: it is another kind of database; choose another file name"};
  Sentence<1> other_geopackage{
      "{path} is not a pointbook: it is a GeoPackage of another program; choose another file name"};
  Sentence<2> damaged{"{path} is damaged: {error}"};
  Sentence<0> no_answer{"no answer"};
  Sentence<1> switched_to_wal{
      "another program has switched {path} to a log beside it and still has it open: copy the file only together with "
      "that log (-wal), or close the file there"};
  Sentence<2> not_read_back{"{row}: its {column} could not be read again as it would be written; it is not stored"};
  Sentence<1> content_differs{"{row}: the content no longer matches its SHA-256"};
  Sentence<1> geometry_differs{"{row}: its geometry, which a map shows, is not where its coordinates are; trust these"};
  Sentence<1> epochs_differ{"{row}: its epochs no longer match their SHA-256"};
  Sentence<3> check_shot{"the check shot on {name} of {time}, version {count}"};
  Sentence<0> nameless_point{"a point without a name or a uuid cannot be stored"};
  Sentence<1> counts_from_one{"{row}: visits and versions count from 1"};
  Sentence<3> row_of_other_frame{"{row} is in the frame {frame}, the pointbook in {frame}"};
  Sentence<1> not_finite{"{row} holds a number that is not finite; it cannot be stored"};
  Sentence<1> check_shot_on{"the check shot on {name}"};
  Sentence<0> nameless_shot{"a check shot without a mark or a uuid cannot be stored"};
  Sentence<0> setup_incomplete{"an antenna setup needs a uuid and heights that are finite numbers"};
  Sentence<0> the_setup{"the antenna setup"};
  Sentence<1> the_event{"the event {word}"};
  Sentence<2> name_taken{"{row} is already in {path} as another point; use another name, or ask for a repeat visit"};
  Sentence<1> first_supersedes{"{row}: a first version supersedes nothing"};
  Sentence<4> must_supersede{"{row}: version {count} must supersede version {count} of the same point in {path}"};
  Sentence<0> bytes_no_point{"these bytes are no stored point of this version of the program"};
  Sentence<0> bytes_no_shot{"these bytes are no check shot of this version of the program"};
  Sentence<1> book_moved{"the pointbook {path} was moved or deleted while it was in use; put it back and start again"};
  Sentence<1> book_busy{"another program holds {path} at this moment; close the file there, or wait and try again"};
  Sentence<1> book_no_space{"no space is left on the disk that holds {path}; free some space"};
  Sentence<1> book_not_writable{
      "the pointbook {path} may not be written; give this user the right to write the file and its folder"};
  Sentence<1> book_not_opened{
      "the pointbook {path} or its journal cannot be opened; check the folder and the rights of this user"};
  Sentence<1> no_database{"{path} is not a pointbook: it is no database at all; choose another file name"};
  Sentence<1> book_damaged{
      "the pointbook {path} is damaged; keep the file as it is and start a new one under another name"};
  Sentence<2> row_refused{"the pointbook {path} refused the row: {error}"};
  Sentence<1> book_changed{
      "the pointbook {path} lacks a table or a column that it was made with; another program has changed it: put back "
      "a copy of before, or start a new one under another name"};
  Sentence<1> no_memory{"this machine has no memory left for {path}; end programs that are not needed"};
  Sentence<2> book_disk_failed{"the disk failed while {path} was in use ({error}); look at the disk"};
  Sentence<2> book_unusable{"the pointbook {path} cannot be used ({error})"};
  Sentence<0> no_space{"no space is left on the disk; free some space"};
  Sentence<0> no_right{"this user may not write there; change the rights, or choose another place"};
  Sentence<0> read_only{"the disk is mounted read-only; choose another place"};
  Sentence<0> folder_missing{"the folder does not exist; create it first"};
  Sentence<0> symbolic_link{"it is a symbolic link, and the program's own files are none; remove it"};
  Sentence<0> no_ordinary_file{"it is no ordinary file; remove it"};
  Sentence<0> too_many_files{
      "too many files are open at once; end programs that are not needed, or raise the limit (ulimit -n)"};
  Sentence<0> file_too_large{"no file may become larger there; raise the limit (ulimit -f), or choose another disk"};
  Sentence<0> disk_failed{"the disk failed; look at it, and choose another"};
  Sentence<0> was_open{" was open when the program ended without a word"};
  Sentence<3> recovered{"{point}{ended}; it is kept as held, with the {count} seconds that had counted"};
  Sentence<3> redone{"{name} had {points} computed again: {why}"};
  Sentence<1> merged{"merged from {count} pointbooks"};
  Sentence<0> old_numbers{"; the numbers are the old ones, and prove nothing"};
  Sentence<2> no_plain_table{"{path} is not a pointbook: {table} in it is no plain table; choose another file name"};
  Sentence<1> made_by_newer{
      "{path} was made by a newer version of this program; use that one, or choose another file name"};
  Sentence<3> foreign_object{
      "{path} holds the {word} {table}, which no version of this program made; remove it, or give it a name that "
      "begins with own_"};
  Sentence<3> written_elsewhere{
      "another program{process} already writes to {path}{how}; stop it first, or choose another"};
  Sentence<2> cannot_lock{"cannot lock {path}: {error}"};
  Sentence<2> cannot_create{
      "cannot create {path} ({error}); give this user the right to write in that folder, or choose another file"};
  Sentence<2> no_local_disk{"cannot lock {path} ({error}); use a local disk"};
  Sentence<0> by_other_name{", by another name of the same file"};
  Sentence<2> layer_unreadable{"the points in {path} cannot be read: {error}; is the file damaged, or no GeoPackage?"};
  Sentence<1> no_geopackage{"{path} is a database but no GeoPackage; give the points as a layer of one"};
  Sentence<1> no_layer{"{path} holds no layer of points; give them as one, or as CSV"};
  Sentence<3> several_layers{"{path} holds several layers of points ({list}), and none is called {table}; name it so"};
  Sentence<2> layer_without_frame{
      "{path}: the layer {table} does not say which reference system it is drawn in; without it nobody knows where its "
      "points are"};
  Sentence<2> layer_missing{"{path}: the layer {table} that it names is not there"};
  Sentence<1> control_character{"{place} holds a control character; is this the right layer?"};
  Sentence<1> name_of_layer{"{path}, the layer's name"};
  Sentence<2> column_of_layer{"{path}, a column of the layer {table}"};
  Sentence<0> the_marks_file{"the marks file"};
  Sentence<1> no_mark{"{path}: no mark in it"};
  Sentence<0> the_plan_file{"the plan"};
  Sentence<1> nothing_planned{"{path}: no planned point in it"};
  Sentence<1> no_pointbook{"{path} is no Stillpoint pointbook; name the file of [project] pointbook"};
  Sentence<1> no_pointbook_at{"there is no pointbook at {path}"};
  Sentence<3> row_unreadable{
      "{path} holds a row that this program cannot read, number {count} of {table}; the others are served without it"};
  Sentence<1> append_only{
      "{table} is append-only: a correction is a new row, made by the program that keeps this file"};
  Sentence<0> current_points{"Current points"};
  Sentence<0> newest_versions{"The newest version of every point"};
  Sentence<0> points{"Points, every version"};
  Sentence<0> every_version{"Every version of every point, never changed"};
  Sentence<0> check_shots{"Check shots"};
  Sentence<0> shots_on_marks{"Shots on control marks"};
  Sentence<0> every_epoch{"Every observed epoch with its verdict"};
  Sentence<0> what_happened{"What happened during the work"};
  Sentence<0> antenna_setups{"Antenna setups"};
  Sentence<0> how_high{"How high the antenna stood"};
  Sentence<0> locked_to{"What this file is locked to"};
  Sentence<0> drawn_by_desktops{"How desktop GIS programs draw the layers; no part of the GeoPackage standard"};
  Sentence<0> drawn_by_status{"By status, with shapes that differ as well as colours"};
  Sentence<0> style_accepted{"accepted: may be used"};
  Sentence<0> style_held{"held: somebody has to decide"};
  Sentence<0> style_rejected{"rejected: not to be used"};
  Sentence<0> style_none{"no second counted"};
  Sentence<0> style_passed{"check passed"};
  Sentence<0> style_failed{"check failed"};
  Sentence<0> date_in_epoch{
      "; the ground moves against it: the date of the coordinates stands in epoch while all are of one date, and for "
      "each row in coordinate_epoch"};
  Sentence<0> no_rtree{
      "SQLite on this machine lacks its module rtree, which a pointbook's spatial index needs; install a SQLite that "
      "has it"};
  Sentence<3> other_heights{
      "{path} has {heights}, the project asks for {heights}; one pointbook has one kind of height, so choose another "
      "file name"};
  Sentence<0> ellipsoid_heights{"ellipsoid heights"};
  Sentence<1> heights_above{"heights above the geoid {geoid}"};
  Sentence<2> keeps_ellipsoid_heights{
      "{path} was begun with ellipsoid heights as z and keeps them; the heights above the geoid {geoid} are in its "
      "column "
      "orthometric_height_m, and are z in a new pointbook"};
  Sentence<2> z_above{"{what}; z is the height above the geoid {geoid}"};
  Sentence<1> check_on{"the check on {name}"};
  Sentence<2> nothing_stored{"{stay} ended: {why}, nothing stored"};
  Sentence<1> project_frame{"project frame {frame}; x is longitude or easting, z is ellipsoid height"};
  Sentence<2> project_frame_above{
      "project frame {frame}; x is longitude or easting, z is the height above the geoid {geoid} in metres"};
  Sentence<1> bytes_unreadable{"{count} bytes could not be read"};
  Sentence<0> a_check_shot{"check shot"};
  Sentence<1> kind_unreadable{"this version of the program cannot read the {what} there"};
  Sentence<4> spool_damaged{
      "the spool {path} is damaged at byte {count}: {what}; the file is kept as {path}, look for a point that is "
      "missing"};
  Sentence<3> spool_torn{
      "the spool {path} ends within an entry, with {count} bytes of it: the power went while it was written, or "
      "something cut the file; it is kept as {path}, look whether the last point is there"};
  Sentence<3> spool_failed{"cannot {verb} the spool {path}: {error}"};
  Sentence<0> look_for{"look for"};
  Sentence<1> spool_gone{"the spool {path} was deleted or replaced while it was in use; put it back"};
  Sentence<0> make_anew{"make anew"};
  Sentence<1> spool_replaced{"another file has taken the place of the spool {path}; move it away"};
  Sentence<2> spool_made_anew{
      "the spool {path} was deleted or replaced while it was in use; it was made anew with {entries} that wait; look "
      "whether a point of before is missing"};
  Sentence<0> keep_copy{"keep a copy of"};
  Sentence<2> spool_not_opened{"cannot open the spool {path}: {error}"};
  Sentence<1> spool_in_use{"another program already uses the spool {path}; stop it first, or choose another pointbook"};
  Sentence<2> spool_not_read{"cannot read the spool {path}: {error}"};
  Sentence<1> no_spool{"{path} is no spool of this version of the program; move it away, and keep it"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::pointbook
