#pragma once
/// What is said of points that are handed out, and of a day that is handed over: refusals, and the lines of the sheet
/// that lies beside each delivery.
///
/// {word}: a format, or an option. {unit}: "metres". {code}: of a frame.

#include "base/sentence.hpp"

namespace stillpoint::office {

struct DeliverySentences {
  // Refusals.
  Sentence<2> exists_already{
      "{path} is there already; name another folder or take {file} away, for nothing is replaced"};
  Sentence<2> cannot_make_folder{"cannot make the folder {path}: {error}"};
  Sentence<2> cannot_write{"cannot write {path}: {error}; nothing is delivered"};
  Sentence<2> program_missing{"{name} is not on this machine; install the package {list}"};
  Sentence<2> program_failed{"{name} could not write the delivery, so nothing is delivered: {error}"};
  Sentence<0> said_nothing{"it ended without a word"};
  Sentence<3> not_read_back{
      "{file} was written with {count} features and reads back with {count}; is the disk full? Nothing is delivered"};
  Sentence<1> no_units_in_dxf{"{name} wrote a drawing without a line for its units; nothing is delivered"};
  Sentence<2> damaged{"{path}: {error}; nothing is delivered from it"};
  Sentence<2> nothing_to_deliver{"{path} has no accepted point{left}; nothing is delivered"};
  Sentence<1> held_only{", and {count} held; decide about them, or ask for them with --with-held"};
  Sentence<2> point_not_moved{"{title}: {error}; nothing is delivered"};
  Sentence<1> drawing_in_degrees{
      "a drawing has lengths, and {label} counts in degrees; give a projected frame with --frame, such as "
      "\"NAD83(2011) / "
      "UTM zone 16N\", or --local with the name of a point for metres east and north of it"};
  Sentence<1> factor_needs_grid{
      "--combined-factor turns grid lengths into those on the ground, and {label} is no grid; "
      "give a projected frame with --frame"};
  Sentence<1> factor_wrong{"a combined factor of {value} cannot be right; it lies between 0.99 and 1.01"};
  Sentence<0> local_and_factor{
      "lengths of --local are those on the ellipsoid; leave --combined-factor or --local away"};
  Sentence<0> geojson_needs_frame{
      "GeoJSON is read as degrees or in a frame with a code; ground and local coordinates go into csv, gpkg, shp or "
      "dxf"};
  Sentence<2> geojson_needs_code{
      "{label} has no code when it counts in {unit}, and GeoJSON names a frame by its code; leave --units away"};
  Sentence<1> no_such_origin{"no point that is delivered is called {name}, which --local names"};
  Sentence<1> no_orthometric{
      "{path} has no heights above a geoid; leave --height away for ellipsoid heights, or recompute the day with "
      "[project.geoid]"};
  Sentence<2> no_such_column{"--columns: there is no column {word}; there are {list}"};
  Sentence<0> columns_are_for_csv{"--columns and --no-header are for --as csv"};
  Sentence<1> book_changes{"{path} changed while it was read, again and again; wait until its daemon is quiet"};

  // What is told when it is done.
  Sentence<2> delivered{"{path}: {points}"};
  Sentence<1> sheet_is{"what it is, and how good: {path}"};
  Sentence<1> were_held_back{"held back: {count}; --with-held delivers those that have coordinates, marked as held"};

  // The sheet.
  Sentence<1> title{"Points of {name}"};
  Sentence<0> training{"TRAINING: THESE ARE NO REAL POINTS"};
  Sentence<2> made_by{"Made {time} by stillpoint-office {version}."};
  Sentence<0> part_points{"Points"};
  Sentence<1> accepted{"accepted: {count}"};
  Sentence<1> held_given{"held, and marked as such in every place: {count}"};
  Sentence<1> held_back{"held back, because they are held: {count}"};
  Sentence<1> without_place{"held back, because no second of theirs counted: {count}"};
  Sentence<1> rejected{"rejected by hand, never delivered: {count}"};
  Sentence<1> older{"superseded versions, never delivered: {count}"};
  Sentence<1> in_doubt{"in doubt after a failed check (column doubt): {count}"};
  Sentence<1> no_height{"without a height: {count}"};
  Sentence<2> names_twice{
      "names that occur more than once, for repeat visits: {count} ({list}); the column visit tells them apart"};
  Sentence<2> texts_cut{"texts cut to the {count} bytes that the format has room for: {count}"};
  Sentence<1> texts_changed{"names of which the drawing shows another sign, for it has none of that kind: {count}"};
  Sentence<0> part_frame{"Frame"};
  Sentence<1> frame{"frame: {label}"};
  Sentence<2> other_unit{"counted in {unit}, for which {label} has no code; the file has the definition"};
  Sentence<1> base_frame{"latitude and longitude in: {label}"};
  Sentence<1> local_origin{
      "local: east and north on the plane that touches the ellipsoid at {place}; the files name no frame"};
  Sentence<2> ground{
      "GROUND lengths, not those of the grid: easting and northing of the grid divided by the combined factor {value}, "
      "about the grid's origin. They are no coordinates of {label} any more, so the files name no frame"};
  Sentence<0> local_system{"Local lengths east and north of a point"};
  Sentence<1> ground_system{"Lengths on the ground, not those of {label}"};
  Sentence<0> survey_foot_of_system{"US survey foot"};
  Sentence<0> not_moved{"operation: none, the points are in the frame of the project"};
  Sentence<1> operation{"operation: {operation}"};
  Sentence<1> from_frame{"from the project's frame: {label}"};
  Sentence<1> operation_accuracy{"its stated accuracy: {metres} m, which is not in the errors of the points"};
  Sentence<0> accuracy_unknown{"its accuracy is not stated"};
  Sentence<1> operation_area{"its area: {area}"};
  Sentence<1> one_epoch{"coordinate epoch: {year}"};
  Sentence<2> several_epochs{"coordinate epochs: {year} to {year}, each point has its own"};
  Sentence<0> frame_moves{"the frame is not fixed to a plate: coordinates of a mark change with the date"};
  Sentence<1> epoch_in_layer{"the layer says {year}, from which no point is farther than 0.01 year"};
  Sentence<0> epoch_in_column{
      "the format has no place for a coordinate epoch of the layer; it stands here and with each point"};
  Sentence<0> epoch_of_points{
      "the layer names none, for the frame is fixed to its plate, or the points differ; each point has its own"};
  Sentence<0> epoch_only_here{"the format has no place for a coordinate epoch; it stands here alone"};
  Sentence<0> geojson_wgs84{"positions are longitude and latitude of a realization of WGS 84, as RFC 7946 means them"};
  Sentence<0> geojson_arranged{
      "NOT WGS 84: RFC 7946 takes every position for WGS 84 unless sender and reader have arranged another frame; the "
      "member crs names it, and whoever reads the file must be told. --frame \"WGS 84 (G2139)\" makes a file for "
      "everybody"};
  Sentence<0> part_lengths{"Lengths and heights"};
  Sentence<1> unit{"lengths are in {unit}"};
  Sentence<0> metre{"metres"};
  Sentence<0> foot{"international feet (0.3048 m)"};
  Sentence<0> survey_foot{"US survey feet (1200/3937 m)"};
  Sentence<1> height_ellipsoid{"heights are above the ellipsoid of {label}"};
  Sentence<1> height_orthometric{"heights are above the geoid {geoid}"};
  Sentence<0> errors{"errors are at the 95 % level: horizontal a radius, vertical plus or minus"};
  Sentence<0> axis_order{"x is the easting or longitude, y the northing or latitude, z the height"};
  Sentence<1> drawing{
      "each point is a POINT with its name beside it, on a layer called by its code; held ones on layers that begin "
      "with "
      "HELD, those in doubt with DOUBT, those without a height, drawn at 0, on layers that end in {word}"};
  Sentence<0> shape_zero{"a point without a height has z 0 in the shape, and nothing in the column of the height"};
  Sentence<0> csv_guard{
      "a text that begins with =, +, - or @ has an apostrophe before it, for no spreadsheet to take it for a formula"};
  Sentence<0> part_files{"Files"};
  Sentence<3> from_book{"from the pointbook {file}, {text}, SHA-256 {sha256}"};
  Sentence<1> book_schema{"points under rules {list}"};
  Sentence<2> file_sum{"{file} SHA-256 {sha256}"};
  Sentence<0> part_columns{"Columns"};
  Sentence<0> part_cautions{"Before they are used"};
  Sentence<1> report_says{"of the day the report says: {text}"};
  Sentence<0> waits{"points lie beside the pointbook that were not in it yet"};

  // The archive of a day.
  Sentence<0> the_configuration{"the configuration"};
  Sentence<2> cannot_pack{"cannot take {path}: it {error}"};
  Sentence<1> changed_meanwhile{"{path} changed while it was packed; wait until nothing writes to it, and begin again"};
  Sentence<2> cannot_write_archive{"cannot write the archive {path}: {error}"};
  Sentence<1> token_stays{"the token of [relay] cannot be taken out of {path}; write it in plain letters and digits"};
  Sentence<0> left_token{"the token of [relay], which is a secret"};
  Sentence<1> left_recorded{"{file}, which is still being recorded"};
  Sentence<1> still_recorded{"{path} is still being recorded; close the day, or stop the daemon, then hand over"};
  Sentence<1> name_unfit{"{path} has a name that an archive of a day cannot have; name it with letters and digits"};
  Sentence<1> points_wait{"points lie beside {path} that are not in it yet; start its daemon once, then hand over"};
  Sentence<1> left_out{"not in it: {what}"};
  Sentence<2> handed_over{"{path}: the day in {files}"};
  Sentence<2> archive_refused{"{path} is no whole archive of a day, and nothing of it is kept: {why}"};
  Sentence<1> strange_name{"the name {word} is none that such an archive has"};
  Sentence<1> name_twice{"the name {word} is in it twice"};
  Sentence<1> no_plain_entry{"{word} is a link, a folder or a device"};
  Sentence<1> larger_than_it{"{word} says that it is larger than the archive"};
  Sentence<0> manifest_first{"its first entry is not its manifest"};
  Sentence<0> manifest_too_large{"its manifest is too large"};
  Sentence<0> no_manifest{"its manifest does not begin as one"};
  Sentence<1> bad_line{"its manifest has the line \"{text}\""};
  Sentence<2> cannot_unpack{"cannot unpack {file}: {error}; nothing is kept"};
  Sentence<1> not_listed{"{word} is not in its manifest"};
  Sentence<1> other_sum{"{word} has another SHA-256 than its manifest says"};
  Sentence<1> file_missing{"{word} is missing"};
  Sentence<2> came{"{path}: {files}, each as it was when it was handed over"};
  Sentence<2> came_project{"project {name}, frame {frame}"};
  Sentence<3> came_points{"points: {count} accepted, {count} held, {count} rejected or without a place"};
  Sentence<2> came_checks{"known marks: {count}, {count} passed"};
  Sentence<0> came_open{"the day was not closed"};
  Sentence<2> came_record{"record: {count}; report: {count}"};
  Sentence<0> not_kept{"nothing of it is kept; --out FOLDER keeps it"};
  Sentence<1> kept_in{"kept in {path}"};
};
inline constexpr DeliverySentences kSayOfDelivery;

}  // namespace stillpoint::office
