#pragma once
/// What is said of frames, the ways between them, geoid grids, antenna heights and typed places.
///
/// {label}: a frame as its code and name, "EPSG:6319 NAD83(2011)"; {frame_name}: its name alone. {at}: a place,
/// "47.600000 N 87.400000 W". {area}: an area's name and its box. {operation}: PROJ's own words for a way between two
/// frames. {fault}: what stands against one.

#include "base/sentence.hpp"

namespace stillpoint::geodesy {

struct Sentences {
  // Of an antenna.
  Sentence<0> slant_not_finite{"antenna slant_m: every number must be finite"};
  Sentence<1> radius_negative{"antenna slant_m: the radius {metres} m is negative"};
  Sentence<2> slant_too_short{
      "antenna slant_m: the length {metres} m is not longer than the radius {metres} m, so no height fits; measure the "
      "slant again"};
  Sentence<1> part_not_finite{"antenna part {name} must be a finite number of metres"};
  Sentence<0> two_heights{"antenna: vertical_parts_m and slant_m are both given; keep the one that was measured"};
  Sentence<0> no_height_given{
      "antenna: no height is given; measure vertical_parts_m or slant_m, or say already_reduced_by_receiver"};
  Sentence<1> below_mark{"antenna: the height comes to {metres} m, below the mark; check the signs"};
  Sentence<4> second_reading_differs{
      "antenna: the second reading {feet} ft is {metres} m, but the first gives {metres} m: they differ by "
      "{millimetres} mm, limit 3 mm; measure both again"};

  // Of the area that a frame is made for.
  Sentence<5> only_a_box{
      "the area of {frame_name} is only a box, and this place in it is in {land}{made_for}; if {frame_name} is right "
      "here all the same, write area_looked_at = [\"{land}\"] under [project]"};
  Sentence<0> not_made_for_it{", which the frame is not made for"};
  Sentence<2> made_for_it{", for which {frame_name} {code} is made"};

  // Of a name that a person wrote for a frame.
  Sentence<0> write_world_frame{
      "write \"ITRF2020\" (EPSG:9989) for SBAS and satellite-delivered corrections, a realization such as "
      "\"WGS 84 (G2139)\" (EPSG:9754), or the national frame that the network's operator states, such as "
      "\"NAD83(2011)\" (EPSG:6319)"};
  Sentence<0> write_etrf{
      "write the realization, such as \"ETRF2000\" (EPSG:7931) or \"ETRF2014\" (EPSG:8403); the two lie 7 to 9 cm "
      "apart"};
  Sentence<0> write_nad83{
      "write the realization, such as \"NAD83(2011)\" (EPSG:6319), \"NAD83(PA11)\" (EPSG:6321) or \"NAD83(CSRS)v7\" "
      "(EPSG:8254)"};
  Sentence<0> write_itrf{"write the realization, such as \"ITRF2020\" (EPSG:9989) or \"ITRF2014\" (EPSG:7912)"};
  Sentence<0> coming_natrf{
      "it is to replace NAD83(2011) and lies up to 2 m from it, so write what the sources' operators deliver in today, "
      "such as \"NAD83(2011)\" (EPSG:6319)"};
  Sentence<0> coming_patrf{
      "it is to replace NAD83(PA11), so write what the sources' operators deliver in today, such as \"NAD83(PA11)\" "
      "(EPSG:6321)"};
  Sentence<0> coming_matrf{
      "it is to replace NAD83(MA11), so write what the sources' operators deliver in today, such as \"NAD83(MA11)\" "
      "(EPSG:6324)"};
  Sentence<0> coming_catrf{
      "it is to replace NAD83(2011) in the Caribbean, so write what the sources' operators deliver in today, such as "
      "\"NAD83(2011)\" (EPSG:6319)"};
  Sentence<0> coming_spcs{
      "its zones stand on NATRF2022, which is to replace NAD83(2011); write a zone of today, such as \"NAD83(2011) / "
      "Michigan North\" (EPSG:6495)"};
  Sentence<0> coming_napgd{
      "it is to replace NAVD88 and is a frame of heights; write the horizontal frame alone, and the geoid's grid as "
      "[project.geoid] with height = \"orthometric\""};
  Sentence<0> no_frame_named{"no frame is named"};
  Sentence<1> is_definition{
      "\"{value}\" is a definition; write an authority code such as \"EPSG:6319\" or a plain name such as "
      "\"NAD83(2011)\""};
  Sentence<2> which_realization{"\"{value}\" does not say which realization; {advice}"};
  Sentence<0> no_database{"PROJ finds no database of frames; install the package proj-data or set PROJ_DATA"};
  Sentence<3> unknown_frame{"\"{value}\" is not a frame that PROJ {version} knows; {advice}"};
  Sentence<0> write_a_code{"write an authority code such as \"EPSG:6319\" or a plain name such as \"NAD83(2011)\""};
  Sentence<1> two_frames{
      "\"{value}\" joins two frames; write the horizontal one alone, and the heights as [project.geoid] with height = "
      "\"orthometric\""};

  // Of a frame that cannot serve.
  Sentence<1> on_one_realization{"{label} on one realization, such as \"NAD83(2011) / UTM zone 16N\" (EPSG:6345)"};
  Sentence<1> realization_with_height{"{label} in a realization with height, such as \"NAD83(2011)\" (EPSG:6319)"};
  Sentence<1> write_member{"write one of its realizations: {list}"};
  Sentence<3> rests_on_ensemble{
      "{label} rests on an ensemble of realizations, \"{name}\", and PROJ would move such a position by nothing at "
      "all; {advice}"};
  Sentence<0> write_projected{
      "write a projected frame on one realization, such as \"NAD83(2011) / UTM zone 16N\" (EPSG:6345), or the "
      "geographic 3D realization itself"};
  Sentence<2> is_compound{
      "{label} is a compound frame; write its horizontal part{instead} here and the heights as [project.geoid] with "
      "height = \"orthometric\""};
  Sentence<1> no_datum{"{label} names no datum, so nothing is known about where it lies; write the real frame"};
  Sentence<1> not_for_positions{"{label} is not a frame for positions; write a geographic 3D or a projected one"};
  Sentence<2> is_geocentric{"{label} is geocentric; {advice}"};
  Sentence<2> has_no_height{"{label} has no height; {advice}"};
  Sentence<1> write_twin{"write its geographic 3D twin {label}"};
  Sentence<0> has_no_twin{
      "it has no geographic 3D twin, so write a realization that has one, such as \"NAD83(2011)\" (EPSG:6319)"};
  Sentence<1> other_ellipsoid{"{label} is on another ellipsoid than GRS 80 or WGS 84; write a modern satellite frame"};
  Sentence<1> other_units{"{label} does not count in degrees from Greenwich and metres; write a frame that does"};
  Sentence<3> base_has_no_twin{"{label} stands on {label}, which has no geographic 3D twin; write {wanted}"};
  Sentence<0> some_unknown_frame{"an unknown frame"};
  Sentence<1> no_more_than_twin{
      "its twin {label}, and take it for no more than a twin: the old realization lies up to a metre or two from it"};
  Sentence<0> projected_with_twin{
      "a projected frame on a realization that has one, such as \"NAD83(2011) / UTM zone 16N\" (EPSG:6345)"};
  Sentence<2> aligned{"{frame_name} is transformed as {frame_name}, to which it is aligned by definition"};
  Sentence<1> deprecated{"{label} is marked as deprecated in the EPSG data set"};
  Sentence<2> taken_as{"{frame_name} is taken as {frame_name}"};

  // Of a frame that stands still in time: reaching it needs more than the two frames' own motion.
  Sentence<0> frozen_sirgas{
      "SIRGAS 2000 is ITRF2000 as it stood at 2000.4, so reaching it needs the site's own motion since then"};
  Sentence<0> frozen_jgd2011{
      "JGD2011 is ITRF2008 as it stood at 2011.395 (ITRF94 at 1997.0 in the west), so reaching it needs the site's own "
      "motion since then"};
  Sentence<0> frozen_jgd2000{
      "JGD2000 is ITRF94 as it stood at 1997.0, so reaching it needs the site's own motion since then"};
  Sentence<0> frozen_mexico2008{
      "Mexico ITRF2008 is ITRF2008 as it stood at 2010.0, so reaching it needs the site's own motion since then"};
  Sentence<0> frozen_mexico92{
      "Mexico ITRF92 is ITRF92 as it stood at 1988.0, so reaching it needs the site's own motion since then"};
  Sentence<0> frozen_nzgd2000{
      "NZGD2000 is ITRF96 as it stood at 2000.0, so reaching it needs New Zealand's deformation model"};

  // Of the way between two frames.
  Sentence<1> passes_ensemble{
      "\"{operation}\" passes through an ensemble of realizations and does not say how far those lie apart"};
  Sentence<1> step_moves_nothing{"\"{operation}\" moves nothing, yet the two frames are not the same by definition"};
  Sentence<1> leaves_heights{
      "\"{operation}\" works on latitude and longitude alone and would leave heights in the old frame"};
  Sentence<1> grid_missing{"it needs the grid {name}, which is not installed"};
  Sentence<0> only_a_guess{"it is only a guess"};
  Sentence<0> no_accuracy{"its accuracy is not stated"};
  Sentence<0> no_area{"its area of use is not stated"};
  Sentence<4> same_only_within{
      "{frame_name} and {frame_name} are the same by definition only within {metres} m, limit {metres} m"};
  Sentence<0> same_frame{"the same frame"};
  Sentence<3> same_by_definition{"the same frame by definition: {frame_name} and {frame_name} are both {frame_name}"};
  Sentence<1> inverse_of{"the inverse of {operation}"};
  Sentence<2> offered_but{"PROJ offers \"{operation}\", but {fault}"};
  Sentence<0> cannot_carry_out{"PROJ cannot carry it out"};
  Sentence<2> accuracy_too_low{"its stated accuracy is {metres} m, worse than the limit of {metres} m"};
  Sentence<1> no_operation{"PROJ {version} has no operation between them"};
  Sentence<0> choose_reachable{"choose a project frame that can be reached, or corrections in the project frame"};
  Sentence<0> fails_everywhere{"PROJ fails to carry it out anywhere in its area"};
  Sentence<0> moves_nothing{"it moves nothing, yet the two frames are not the same by definition"};
  Sentence<2> cannot_make{"PROJ cannot make {code} or {code}"};
  Sentence<3> no_honest_way{"no honest way from {label} to {label}: {why}"};
  Sentence<0> proj_cannot_start{"PROJ cannot start"};
  Sentence<0> tied_alike{"moves nothing: both frames are tied to the same ITRF by the same published parameters"};
  Sentence<1> at_own_epoch{"taken at the source's own epoch {year}"};

  // Of a place and a date.
  Sentence<3> outside_area{"{at} is outside the area of use of \"{operation}\": {area}"};
  Sentence<3> outside_zone{"{at} is outside {label}: {area}"};
  Sentence<2> not_reached{"\"{operation}\" does not reach this place: {area}"};
  Sentence<1> no_source{"no source has the number {number}"};
  Sentence<0> not_on_earth{"the position is not a place on Earth"};
  Sentence<0> date_unknown{"the receiver has not said the date, so the frames' motion is unknown"};
  Sentence<1> date_wrong{"the date {time} cannot be right: it is not between 1980 and 2100"};
  Sentence<1> could_not_carry_out{"PROJ could not carry out \"{operation}\""};
  Sentence<3> could_not_carry_out_at{"PROJ could not carry out \"{operation}\" at {at} at {year}"};
  Sentence<2> not_projected{"{at} cannot be projected into {label}"};
  Sentence<1> coordinate_epoch_wrong{"the coordinate epoch {year} is not between 1980 and 2100"};
  Sentence<2> not_in_geoid_frame{"{at} cannot be brought into the geoid's frame {label}"};
  Sentence<2> outside_grid{"{at} is outside the geoid grid {geoid}"};
  Sentence<1> year_wrong{"the year {year} is not between 1980 and 2100"};
  Sentence<1> no_grid{"{label} has no easting and northing"};
  Sentence<3> no_place_in{"easting {metres}, northing {metres} is no place in {label}"};
  Sentence<1> at_wants_degrees{
      "--at takes decimal degrees, latitude then longitude, such as --at 47.6 -87.4; got \"{value}\""};
  Sentence<1> latitude_wrong{"the latitude {value} is not between -90 and 90"};
  Sentence<1> longitude_wrong{"the longitude {value} is not between -180 and 180"};
  Sentence<1> date_wants_day{"--date takes a day such as 2026-06-03; got \"{value}\""};
  Sentence<1> day_wrong{"the date {time} is not between 1980 and 2100"};

  // Of points that belong to different dates.
  Sentence<3> different_dates{"points belong to different dates, under {list}: {differs}{cost}"};
  Sentence<2> source_at{"\"{source}\" to {year}"};
  Sentence<1> by_site_velocity{"by the configured site velocity one mark differs by {metres} m between them"};
  Sentence<3> moves_with_plate{
      "{frame_name} moves with its plate, so a mark on stable ground has the same coordinates at both, and any other "
      "differs by its own motion over {years} years{beyond}"};
  Sentence<2> beyond_the_fault{
      ", here by up to {metres} m where the ground goes with the neighbouring plate ({frame_name})"};
  Sentence<2> by_plate{"one mark that stands still in {frame_name} differs by {metres} m between them here"};
  Sentence<1> by_unknown{
      "how far one mark differs between them here is not known to PROJ; plates move up to some centimetres a year, and "
      "these are {years} years"};
  Sentence<2> cost_of_wrong_date{"; taking one date for the other would move points under \"{source}\" by {metres} m"};

  // Of the configuration.
  Sentence<1> of_project_frame{"project frame: {error}"};
  Sentence<1> of_geoid_frame{"geoid frame: {error}"};
  Sentence<2> of_source{"source \"{source}\": {error}"};
  Sentence<1> no_east_north{"{label} does not count east and north, so easting and northing have no meaning in it"};
  Sentence<1> cannot_project{"PROJ cannot project into {label}"};
  Sentence<1> project_epoch_wrong{"project coordinate_epoch {value} is not between 1980 and 2100"};
  Sentence<1> velocity_missing{
      "project coordinate_epoch {value} needs site_velocity_mm_per_year, or the points cannot be moved to that epoch"};
  Sentence<0> velocity_not_finite{"project site_velocity_mm_per_year must be finite numbers"};
  Sentence<1> no_wkt{"PROJ cannot write {label} as WKT"};
  Sentence<2> no_wkt_with_heights{"geoid: PROJ cannot write {label} with heights above \"{geoid}\" as WKT"};
  Sentence<0> geoid_missing{"height = \"orthometric\" needs [project.geoid] with its grid"};
  Sentence<2> geoid_frame_projected{"{label} is projected; write its base frame {code}"};
  Sentence<1> source_epoch_wrong{"coordinate_epoch {value} is not between 1980 and 2100"};
  Sentence<2> source_projected{
      "{label} is projected, but a receiver gives latitude and longitude; write the base frame {code}"};
  Sentence<3> other_grid{
      "geoid grid \"{path}\" has SHA-256 {sha256}, but the configuration expects {sha256}; take the right file or "
      "correct "
      "sha256"};
  Sentence<2> no_distance{"{metres} m cannot be measured so; above 0 and at most {metres} m"};
  Sentence<1> no_bearing{"a bearing of {degrees} degrees cannot be right; from 0 to 360"};
  Sentence<2> wide_bearing{"a bearing with an error of {degrees} degrees says too little; at most {degrees}"};
  Sentence<1> no_error_of{"{what} needs its error, above 0"};
  Sentence<0> the_distance{"the distance"};
  Sentence<0> the_bearing{"the bearing"};
  Sentence<0> the_height_difference{"the height difference"};
  Sentence<4> no_crossing{
      "{metres} m from the first and {metres} m from the second miss each other by {metres} m: the two places lie "
      "{metres} m apart"};
  Sentence<2> flat_crossing{
      "the two distances cross at {degrees} degrees, under {degrees}: a small error would move the point far; measure "
      "from "
      "another place"};
  Sentence<1> grid_path{"geoid grid \"{path}\": the file's path must not be empty or hold a comma, a quote or @"};
  Sentence<1> grid_not_installed{"geoid grid \"{path}\" is not installed where PROJ looks; give the path of the file"};
  Sentence<1> grid_unreadable{"geoid grid \"{path}\" is missing or not a grid that PROJ can read"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::geodesy
