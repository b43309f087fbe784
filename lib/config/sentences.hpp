#pragma once
/// What is wrong with a configuration and what to give instead. A complaint stands behind file, line and key; what to
/// give (`wanted`) completes "…, give WANTED".
///
/// {value}: the value found, as it stands in the file. {wanted}: one of the phrases below, or a range in words.

#include "base/sentence.hpp"

namespace stillpoint::config {

struct Sentences {
  Sentence<3> at_line{"{path}, line {line}: {complaint}"};
  Sentence<1> missing{"is missing, give {wanted}"};
  Sentence<2> wrong{"is {value}, give {wanted}"};
  Sentence<1> still_open{"is still open, give {wanted}"};
  Sentence<2> holds{"holds {value}, give {wanted}"};
  Sentence<2> listen_to_others{"is {value}, which others can reach, give {wanted}, or set beyond_this_machine = true"};
  Sentence<1> empty_array{"is an empty array, give {wanted}"};
  Sentence<3> no_such_key{"{key} is {value}, but there is no such key; {advice}"};
  Sentence<1> belongs_in{"it belongs in [{table}]"};
  Sentence<1> did_you_mean{"did you mean {key}?"};
  Sentence<1> keys_here{"the keys here are {list}"};

  // What to give.
  Sentence<2> at_most_bytes{"{wanted} of at most {count} bytes"};
  Sentence<1> on_one_line{"{wanted} on one line, without tabs or other control characters"};
  Sentence<2> or_word{"{wanted}, or \"{word}\""};
  Sentence<2> number_above{"a number above {number} and at most {number}"};
  Sentence<2> number_from{"a number from {number} to {number}"};
  Sentence<2> whole_above{"a whole number above {number} and at most {number}"};
  Sentence<2> whole_from{"a whole number from {number} to {number}"};
  Sentence<0> yes_or_no{"true or false"};
  Sentence<0> own_table{"a table of its own"};
  Sentence<1> table_that_starts{"a table that starts with [[{table}]]"};
  Sentence<1> tables_that_start{"tables that start with [[{table}]]"};
  Sentence<1> one_table_at_least{"at least one table that starts with [[{table}]]"};
  Sentence<0> no_feed_takes_corrections{
      "corrections: none are brought, for no feed can take them: a receiver is written to over serial or tcp"};
  Sentence<0> number_or_text{"a number or a text"};
  Sentence<0> a_path{"a path"};

  // Of the file.
  Sentence<1> too_large{
      "{path}: the file is larger than 1 MiB, which no configuration is; check that it is the right file"};
  Sentence<1> path_no_utf8{"the path {path} is no UTF-8 text, and every path of the day begins with it; rename it"};
  Sentence<1> no_file{"there is no configuration file {path}; check the path given with --config"};
  Sentence<1> is_folder{"{path} is a folder; give the configuration file inside it"};
  Sentence<1> no_plain_file{"{path} is no file but a pipe or a device; give the configuration file itself"};
  Sentence<1> unreadable{"cannot read the configuration file {path}; check that you may read it"};
  Sentence<2> not_utf8{"{path}, line {line}: the text is not valid UTF-8, save the file as UTF-8"};
  Sentence<3> stray{
      "{path}, line {line}: {value} may not stand here, outside quotes and behind a backslash TOML takes plain ASCII "
      "only"};
  Sentence<2> no_table_name{"{path}, line {line}: the name of a table must follow the bracket, such as [project]"};
  Sentence<4> no_toml{"{path}, line {line}, column {column}: this is not valid TOML: {error}"};
  Sentence<0> a_date{"a date or time"};
  Sentence<0> want_a_date{"a date such as 2026-06-03"};
  Sentence<0> an_empty_array{"an empty array"};
  Sentence<0> an_array{"an array"};
  Sentence<0> a_table{"a table"};
  Sentence<0> a_value{"a value"};
  Sentence<0> below_all{"a number below -1e15"};
  Sentence<0> above_all{"a number above 1e15"};
  Sentence<1> tilde{"is {value}, but ~ is not expanded; give the whole path, or one that starts at this file's folder"};

  // Phrases of what to give, key by key.
  Sentence<0> project_name{"the name of the project"};
  Sentence<0> crew_name{"the name of the crew"};
  Sentence<0> contact_name{"the name of whom to ask about the points"};
  Sentence<0> contact_organisation{"the organisation to ask about the points"};
  Sentence<0> contact_email{"a mail address, such as \"gis@vellin.example\""};
  Sentence<0> contact_nobody{"says neither name nor organisation; metadata without one of them name nobody"};
  Sentence<0> local_time{"the name of a time zone, such as \"America/Detroit\""};
  Sentence<0> project_frame{"the frame every point is delivered in, such as \"EPSG:6319\""};
  Sentence<0> geoid_grid{"the file of the geoid grid"};
  Sentence<0> geoid_name{"the name of the geoid model"};
  Sentence<0> geoid_frame{"the frame whose ellipsoid heights the grid is made for, such as \"EPSG:6319\""};
  Sentence<0> areas_looked_at{"an array of the frames and countries whose areas were looked at, as --check names them"};
  Sentence<0> sha256{"the 64 hexadecimal digits of the grid's SHA-256"};
  Sentence<0> decimal_year{"(a decimal year)"};
  Sentence<0> own_name{"a name of its own"};
  Sentence<0> source_frame{"the frame its positions are in, such as \"EPSG:9989\""};
  Sentence<0> evidence{"where the frame is known from"};
  Sentence<0> stations{"an array of station numbers, ranges and \"blank\""};
  Sentence<0> times_real_time{"times real time"};
  Sentence<0> device{"the device, such as \"/dev/rfcomm0\""};
  Sentence<0> host{"a host name or an address"};
  Sentence<0> udp_address{"the address to listen on, such as \"127.0.0.1\""};
  Sentence<0> udp_from{"the sender's address, such as \"192.168.42.7\""};
  Sentence<0> address_here{"an address of this machine with a port, such as \"127.0.0.1:28101\" or \"[::1]:28101\""};
  Sentence<0> address_any{"an address in figures with a port, such as \"192.168.42.2:28101\""};
  Sentence<0> user_names{"an array of user names"};
  Sentence<0> token{"a secret of 12 characters or more"};
  Sentence<0> caster{"a host with a port, such as \"caster.example.org:2101\""};
  Sentence<0> mount{"the name of the mount point"};
  Sentence<0> mount_word{"the mount point's name alone, one word of visible ASCII without a slash"};
  Sentence<0> run{"an array of texts: the program, then its arguments"};
  Sentence<0> redo_source{"the name of a source of the configuration"};
  Sentence<0> redo_by{"who corrects, such as \"A. Brandvold\""};
  Sentence<0> redo_reason{"why, in a sentence"};
  Sentence<0> utc_time{"a UTC time in quotes, such as \"2026-06-03T14:05:10Z\""};
  Sentence<0> mark_name{"the name of the mark"};

  // What is wrong, key by key.
  Sentence<1> foreign_key{"does not belong to a feed of the kind \"{word}\", take it out"};
  Sentence<0> version_not_known{"is no version of the protocol, give 1, 2 or \"auto\""};
  Sentence<0> authority_without_tls{"is given without tls = true, which alone needs it; set tls, or take it out"};
  Sentence<0> baud_not_whole{"is not a whole number, give a whole number from 300 to 4000000 baud, or \"auto\""};
  Sentence<0> whole_device{"the whole path, such as \"/dev/rfcomm0\""};
  Sentence<0> host_alone{"a host name or an address alone"};
  Sentence<0> address_in_figures{"an address in figures, such as \"127.0.0.1\""};
  Sentence<0> sender_in_figures{"an address in figures, such as \"192.168.42.7\""};
  Sentence<0> short_token{"is too short to be a secret, give one of 12 characters or more"};
  Sentence<0> short_occupation{
      "leaves max_duration_s below min_duration_s, so no occupation could ever be long enough; raise max_duration_s or "
      "lower min_duration_s"};
  Sentence<0> no_velocity{"is a decimal year, so site_velocity_mm_per_year is required; give it, or \"observation\""};
  Sentence<0> no_geoid{"is \"orthometric\", so [project.geoid] is required; give it, or \"ellipsoid\""};
  Sentence<0> part_no_name{"is no name for a part, give a name without control characters"};
  Sentence<2> part_other_unit{
      "ends in another unit than {unit}, in which every part of {key} is taken; put feet into vertical_parts_ft, and "
      "name the part without a unit"};
  Sentence<0> part_twice{"is in vertical_parts_m too, keep the one that was measured"};
  Sentence<1> no_parts{"is an empty table, give each part with its length in {unit}"};
  Sentence<2> second_reading{
      "is missing: the parts add up to {number} m, over {number} m, so give the whole height in feet as well"};
  Sentence<0> radius_too_long{
      "is not below the length, give the horizontal distance from the axis to the point that was measured"};
  Sentence<1> parts_and_slant{"is given beside {key}, keep the one that was measured"};
  Sentence<0> no_antenna{
      "is missing, give the parts of the antenna height, or slant_m, or already_reduced_by_receiver = true"};
  Sentence<0> local_clock_time{"a time as clocks there show it, in quotes, such as \"2026-06-03 10:05\""};
  Sentence<0> names_of_points{"an array of names of points, such as [\"CUL-7\", \"CUL-9 visit 2\"]"};
  Sentence<0> one_way_to_say{"says the stays in a second way; give times in UTC, or local ones, or names of points"};
  Sentence<0> time_not_after{"is not after from_utc"};
  Sentence<0> not_afterwards{"cannot be changed afterwards, correct the configuration itself"};
  Sentence<0> match_not_afterwards{
      "cannot be changed afterwards: the day's sources would be others; correct the configuration and recompute with "
      "stillpoint-reduce"};
  Sentence<0> stands_alone{"stands alone, give the keys that change"};
  Sentence<0> nothing_to_correct{"is given but nothing to correct, add [[antenna]], [[source]] or [[mark]]"};
  Sentence<2> no_such_source{"source.name is {value}, which the configuration does not have, give one of {list}"};
  Sentence<1> qualities{"an array of quality words ({list})"};
  Sentence<2> quality_unknown{"holds {value}, give one of {list}"};
  Sentence<2> quality_refused{"holds {value}, which rests on no corrections and is always refused; give one of {list}"};
  Sentence<1> quality_twice{"holds {value} twice, take one out"};
  Sentence<0> a_station{"a station number from 0 to 65535, a range such as \"120-158\", or \"blank\""};
  Sentence<1> no_stations{"is an empty array, give {wanted}, or leave the key out"};
  Sentence<2> bad_station{"holds {value}, give {wanted}, the lower number first"};
  Sentence<0> differential_alone{"matches \"differential\" without match.station; list the stations of this source"};
  Sentence<0> any_quality_alone{
      "matches \"differential\" (match.quality is absent, so every quality does) without match.station; list the "
      "stations of this source"};
  Sentence<2> age_below_fresh{"is {value}, give at least fresh_age_s ({value} s); equal means no coasting"};
  Sentence<2> same_name{
      "source {number}: name is {value}, which an earlier source has, give each source a name of its own"};

  // Notes: no mistakes.
  Sentence<2> absent{"{key} is absent, so {consequence}"};
  Sentence<0> no_growth{"errors do not grow while coasting"};
  Sentence<0> no_scale{"the receiver's error claim is taken as it is, not verified"};
  Sentence<0> no_scale_evidence{"no error is reduced by averaging: the claim is not proven"};
  Sentence<0> no_floor{"the averaged error has no lower bound"};
  Sentence<1> useless_gate{
      "source {value}: match.quality and gate.quality have no quality in common, so none of its epochs can pass"};
  Sentence<0> velocity_unused{
      "project: site_velocity_mm_per_year is given, but coordinate_epoch is \"observation\", so no point is moved"};
  Sentence<0> geoid_beside{
      "project: [project.geoid] is given, but height is \"ellipsoid\", so its heights only stand beside the others"};
  Sentence<0> no_geoid_error{"project: [project.geoid] error_m is absent, so the geoid is taken as free of error"};
  Sentence<0> reduced_anyway{"antenna: already_reduced_by_receiver is true, so the measured height is not subtracted"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::config
