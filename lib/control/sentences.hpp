#pragma once
/// What is said of marks and their files, of check shots and why they failed, of the turn test and of accuracy.
///
/// {against}: "0.021 m (limit 0.030 m)". {cell}: where a cell of a table stands, and its column. {set}: "series 1, set 2,
/// point 1". {lean}: "12.3 mm".

#include "base/sentence.hpp"

namespace stillpoint::control {

struct Sentences {
  Sentence<3> limit_smaller{
      "{axis} limit {metres} m is twice the errors of shot and mark, and smaller than {metres} m in check_limit_m"};
  Sentence<4> other_date{
      "{name} is given in {frame} at {year} and the shot is of {year}; the mark moves with its plate, so give its "
      "velocity or its coordinates at a nearer date"};
  Sentence<0> no_check_limit{
      "the source has no check_limit_m, so only the shot's and the mark's own errors set the limit"};
  Sentence<0> height_not_compared{" m, height not compared"};
  Sentence<9> overlap{
      "{name} under \"{source}\" minus under \"{source}\": east {metres}, north {metres}, up {metres} m; horizontal "
      "{against}, vertical {against}{verdict}"};
  Sentence<0> sources_agree{": the two sources agree"};
  Sentence<0> sources_disagree{": the two sources do not agree; one of them is in another frame or wrong"};
  Sentence<0> none_of_these{"None of these fits."};
  Sentence<2> none_fits{"{verdict} {advice}"};
  Sentence<0> shoot_again{"Shoot the mark again after a new initialization."};
  Sentence<0> shoot_again_and_second{
      "Shoot the mark again after a new initialization, then check a second mark: the same vector there points to the "
      "base or the frame, none to this mark."};
  Sentence<2> first_suspect{"First suspect ({share} of the likelihood): {suspect}."};
  Sentence<1> to_make_sure{"To make sure: {advice}."};
  Sentence<1> or_within{" (or one within 3 cm of it here: {list})"};
  Sentence<0> source_really_in{"the source's positions are really in"};
  Sentence<1> and_not_in{", not in {frame}"};
  Sentence<0> ask_the_operator{
      "ask the operator which frame and epoch the corrections give, and look for a DTM sentence"};
  Sentence<1> already_shifted{"the positions arrive already in {frame} and are shifted once more"};
  Sentence<0> receiver_transforms{
      "look whether the receiver or its app transforms its own output, and switch that off"};
  Sentence<0> shifted_wrong_way{"the shift was made the wrong way round, so it counts twice"};
  Sentence<0> frames_exchanged{
      "look whether source and project frame are exchanged in the configuration or in the receiver"};
  Sentence<0> mark_really_in{"the mark's coordinates are really in"};
  Sentence<0> read_frame_again{
      "read the frame again on the mark's data sheet, and check a second mark from another sheet"};
  Sentence<2> drawn_in_other{
      "the mark says frame {frame}, but the layer is drawn in {frame}; they may be metres apart, so give the frame "
      "that the coordinates are really in, or draw the layer in it"};
  Sentence<0> no_point{"its geometry is no point"};
  Sentence<3> not_at_geometry{"{column} {value} is not where the geometry is ({value})"};
  Sentence<5> outside{"{place}: {column} {value} is outside {count} to {count}"};
  Sentence<0> no_place{"a mark needs latitude_deg and longitude_deg, or easting_m and northing_m"};
  Sentence<0> two_places{"give latitude and longitude or easting and northing, not both"};
  Sentence<1> unknown_height_kind{"height_kind \"{value}\" is not ellipsoid, orthometric or none"};
  Sentence<0> height_kind_wanted{"height_m needs height_kind ellipsoid or orthometric"};
  Sentence<0> height_missing{"height_kind is given, but height_m is missing"};
  Sentence<0> the_geoid{"the geoid"};
  Sentence<0> height_error_missing{"a mark with a height needs sigma_vertical_m (1 sigma)"};
  Sentence<0> velocity_incomplete{"a velocity needs east, north and up"};
  Sentence<1> no_date{"recovered \"{value}\" is not a date like 2025-09-14"};
  Sentence<1> unknown_status{"status \"{value}\" is not good, disturbed, superseded or base"};
  Sentence<0> the_remarks{"the text of remarks"};
  Sentence<0> name_missing{"the name is missing"};
  Sentence<0> the_name{"the name"};
  Sentence<0> the_frame{"the frame"};
  Sentence<0> frame_missing{"the frame is missing; without it a mark proves nothing"};
  Sentence<0> epoch_missing{"the coordinate_epoch is missing (a decimal year such as 2010.0)"};
  Sentence<0> error_missing{"sigma_horizontal_m (1 sigma) is missing; a mark of unknown quality proves nothing"};
  Sentence<2> unknown_column{"{path}: the column {column} means nothing here and is not read"};
  Sentence<2> mark_twice{"{place}: the mark {name} is there twice"};
  Sentence<3> proves_nothing{"{place}: {name} is marked {word}; a check on it proves nothing"};
  Sentence<4> frame_taken_as{"{place}: the frame of {name}, {frame}, is taken as {frame}"};
  Sentence<1> no_grid{"{frame} has no easting and northing"};
  Sentence<1> too_many_frames{"the list has more than {count} frames"};
  Sentence<0> the_code{"the code"};
  Sentence<0> the_note{"the note"};
  Sentence<2> plan_drawn_in_other{
      "the row says frame {frame}, but the layer is drawn in {frame}; they may be metres apart, so leave the column "
      "out "
      "or give the frame that the layer is really in"};
  Sentence<0> plan_no_place{"a planned point needs latitude_deg and longitude_deg, or easting_m and northing_m"};
  Sentence<1> planned_twice{"{name} is planned twice; names that read alike count as one"};
  Sentence<1> no_again_from{"again_from \"{value}\" is no date like 2026-12-01 and no time like 2026-12-01T14:00:00Z"};
  Sentence<2> nowhere{"{latitude}, {longitude} is no place on the Earth"};
  Sentence<4> plan_not_moved{
      "{path}: nobody knows the way from {frame} to {frame} ({error}), so its places are taken as they stand; they may "
      "be metres off"};
  Sentence<2> disturbed{"{name} is listed as disturbed{remarks}"};
  Sentence<2> superseded{"the coordinates of {name} are superseded{remarks}"};
  Sentence<1> never_found{"nobody wrote down when {name} was last found in good order"};
  Sentence<2> long_ago{"{name} was last found {count} years ago"};
  Sentence<1> no_height{"{name} has no height, so heights are not checked"};
  Sentence<1> to_be_measured{"{set} is still to be measured"};
  Sentence<1> value_missing{"{cell} is missing"};
  Sentence<2> no_whole_number{"{cell} must be a whole number from 1 to {count}"};
  Sentence<2> set_twice{"{place}: {set} is there twice"};
  Sentence<0> epoch_wrong{"an epoch is missing or wrong: the residual points along the plate's motion"};
  Sentence<0> compare_epochs{
      "compare the coordinate epochs of source, mark and project, and the date the receiver gives"};
  Sentence<0> feet_as_metres{"the antenna height was read in feet and typed as metres"};
  Sentence<0> metres_as_feet{"the antenna height was read in metres and taken as feet"};
  Sentence<0> measure_with_metric_tape{"measure the pole again with a metric tape and compare the reading in feet"};
  Sentence<1> height_not_subtracted{"the antenna height of {metres} m was not subtracted where it matters"};
  Sentence<0> look_at_reduced{
      "look whether already_reduced_by_receiver is set, and what the receiver itself subtracts"};
  Sentence<1> height_subtracted_twice{"the antenna height of {metres} m was subtracted twice"};
  Sentence<0> look_at_receiver{"look whether the receiver already gives the height of the mark"};
  Sentence<0> mark_height_in_feet{"the mark's height is in feet on one side, metres on the other"};
  Sentence<0> read_height_unit{"read the unit of the height on the mark's sheet"};
  Sentence<2> part_twice{"the offset \"{name}\" of {metres} m was subtracted twice"};
  Sentence<0> look_at_phase_centre{"look whether the receiver knows the antenna's phase centre itself"};
  Sentence<2> part_left_out{"the offset \"{name}\" of {metres} m was left out"};
  Sentence<0> add_up_parts{"add up the parts of the antenna height again, from the tip to the phase centre"};
  Sentence<0> plane_twice{"the offset of the measuring plane was used twice"};
  Sentence<0> plane_left_out{"the offset of the measuring plane was left out"};
  Sentence<0> look_up_plane{"look up where the measuring mark of the antenna lies"};
  Sentence<2> one_section{"the pole stood {metres} m {direction} than configured: one section"};
  Sentence<0> measure_pole{"measure the pole as it stands now"};
  Sentence<0> measure_anew{"measure the height anew, once slant and once with a plumb line"};
  Sentence<0> slant_as_vertical{"the slant reading was taken as a vertical height"};
  Sentence<0> slant_and_plane_as_vertical{"the slant reading plus the plane's offset was taken as vertical"};
  Sentence<0> other_height_kind{"an ellipsoid height is compared with an orthometric one"};
  Sentence<0> read_height_kind{"read the kind of height on the mark's sheet and in the configuration"};
  Sentence<0> geoid_sign{"the geoid height was applied with the wrong sign"};
  Sentence<0> compute_one_height{"compute one height by hand: ellipsoid height minus geoid height"};
  Sentence<0> geoid_of_other_frame{"the geoid grid was used under another frame than it is made for"};
  Sentence<0> read_geoid_frame{"read in the grid's description which frame's ellipsoid heights it belongs to"};
  Sentence<0> coarse_geoid{"heights come from a coarse geoid, such as the receiver's built-in one"};
  Sentence<0> compare_separation{"compare the separation that the receiver prints with the project's geoid here"};
  Sentence<0> wrong_foot{
      "grid coordinates were turned into metres with the wrong foot (survey foot or international foot)"};
  Sentence<0> read_foot{"read on the mark's sheet which foot its grid coordinates are in"};
  Sentence<0> base_is_off{"the base's coordinates are off: every mark shows the same vector"};
  Sentence<0> check_base{"check the coordinates entered for the base, and one mark with another base or source"};
  Sentence<0> mark_moved{"this mark has moved or the sky over it is bad: other marks agree"};
  Sentence<0> look_at_mark{"look at the mark for damage, and shoot it again at another hour"};
  Sentence<0> bubble_out{"the pole leans while its bubble says it stands: the bubble is out of adjustment"};
  Sentence<0> adjust_bubble{"adjust the bubble, then repeat the turn test"};
  Sentence<0> make_turn_test{"make the turn test: stillpoint check MARK --turn, four headings"};
  Sentence<2> points_demanded{"{count} points, at least {count} demanded"};
  Sentence<1> not_valid{"{demanded}: NOT a valid statement"};
  Sentence<5> check_points{"Check points: {count}, with height {count}. Mean east {length}, north {length}{up}."};
  Sentence<4> nssda_horizontal{
      "NSSDA (FGDC-STD-007.3-1998), 95 % confidence, horizontal: {length} ({formula}{doubt}; {demanded})"};
  Sentence<0> equal_axes{"1.7308 x RMSEr"};
  Sentence<0> unequal_axes{"2.4477 x half of RMSEx + RMSEy"};
  Sentence<0> formula_doubtful{"; RMSEx and RMSEy differ too much for this formula"};
  Sentence<2> nssda_vertical{"NSSDA (FGDC-STD-007.3-1998), 95 % confidence, vertical: {length} ({demanded})"};
  Sentence<4> asprs_horizontal{
      "ASPRS Edition 2 (2023), RMSE_H (about 63 % of a circular error): {length} (fit {length}, check survey {length}; "
      "{demanded})"};
  Sentence<4> asprs_vertical{
      "ASPRS Edition 2 (2023), RMSE_V (68 %): {length} (fit {length}, check survey {length}; {demanded})"};
  Sentence<4> too_few_for_both{
      "Too few check points ({count}, with height {count}): the NSSDA demands {count} and ASPRS Edition 2 (2023) "
      "{count}, so these figures tell of these points and are no statement of accuracy."};
  Sentence<3> too_few_for_asprs{
      "Too few check points ({count}, with height {count}) for a statement by ASPRS Edition 2 (2023), which demands "
      "{count}."};
  Sentence<1> offsets_wanted{"{path}: columns off_east_m and off_north_m (or dE and dN) are wanted"};
  Sentence<1> offset_missing{"{place}: the offset east or north is missing"};
  Sentence<3> column_twice{"{path}, line {count}: the column {column} is there twice"};
  Sentence<3> too_many_rows{"{path}, line {count}: more than {count} rows; leave those that the project needs"};
  Sentence<4> fields_against_header{"{path}, line {count}: {count} fields, but the header names {count}"};
  Sentence<3> no_utf8{"{place}: \"{value}\" is no UTF-8 text at byte {count}; save the file as UTF-8"};
  Sentence<2> no_csv{"{path}, line {count} holds a control character; is this a CSV file?"};
  Sentence<2> open_quote{"{path}, line {count}: a quote is left open"};
  Sentence<1> empty_table{"{path} is empty; its first line must name the columns"};
  Sentence<3> no_number{"{place}: {column} \"{value}\" is not a number"};
  Sentence<0> too_few_headings{"a turn test needs shots with at least two headings"};
  Sentence<0> headings_alike{"the headings of the turn test are too much alike; turn the pole by a quarter each time"};
  Sentence<3> bubble_good{
      "turn test on {name}: what turns with the pole is {lean}, no more than chance; a lean under {lean} could not be "
      "seen. The bubble is good to that"};
  Sentence<0> to_its_left{" to its left"};
  Sentence<0> to_its_right{" to its right"};
  Sentence<5> pole_leans{
      "turn test on {name}: the pole leans, the antenna is {lean} off the mark ({aside}, {ahead} as it faces; chance "
      "would reach {lean} in 1 of 100): adjust the bubble, turn again, then check the mark; points kept with it may be "
      "off by as much"};
  Sentence<2> frame_at_epoch{"{frame} of {year}"};
  Sentence<1> as_near{" (and {frames} as near)"};
  Sentence<3> base_fits{"the base sends the published place of {name} within {metres} m in {frame}"};
  Sentence<3> check_fits{"the check on {name} passed {metres} m off in {frame}"};
  Sentence<0> base_agrees{", as configured"};
  Sentence<2> base_agrees_and_not{", as configured; it is {metres} m from that in {frame}"};
  Sentence<2> base_contradicts{"; the configuration says {frame}, which is {metres} m away"};
  Sentence<0> base_contradicts_at_all{"; the configuration says another frame, which cannot be compared"};
  Sentence<3> base_fits_none{
      "the base is {metres} m from the published place of {name} even in the frame that fits best, {frame}: it is "
      "another base, or it was moved"};
  Sentence<1> base_needs_height{"{name} has no ellipsoid height, so that it proves no frame of a base"};
  Sentence<1> base_cannot_compare{"{name} cannot be brought into any frame that serves the place of the base"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::control
