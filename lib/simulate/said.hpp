#pragma once
/// What is said of a scenario and its answer key, and what a debrief says.
///
/// {wanted}: one of the phrases that complete "…, give WANTED".

#include "base/sentence.hpp"

namespace stillpoint::simulate {

struct Said {
  Sentence<0> action_out_of_order{"is before the action above it, give the actions in the order of the day"};
  Sentence<0> the_crew{"the crew's name"};
  Sentence<0> alert_reason_or_flag{"alert key, reason or flag"};
  Sentence<0> a_mark{"the name of a mark"};
  Sentence<0> what_it_costs{"what falling for it costs, in a sentence"};
  Sentence<0> the_right_move{"what the right move was, in a sentence"};
  Sentence<0> what_happened{"what happened, in a sentence"};
  Sentence<0> a_short_name{"a short name of its own"};
  Sentence<0> a_point{"the name of a point"};
  Sentence<0> a_source_or_none{"the name of a source, or \"none\""};
  Sentence<0> own_name{"a name of its own"};
  Sentence<0> bad_sbas_quality{"is neither 2 nor 9, give one of them"};
  Sentence<0> two_letters{"two letters"};
  Sentence<1> name_taken{"is {value}, which an earlier one has, give a name of its own"};
  Sentence<0> what_it_stands_for{"what it stands for"};
  Sentence<0> time_off{"the seconds the printed time is off"};
  Sentence<0> comes_late{"the seconds it comes late"};
  Sentence<0> bad_base{"is no number of a base, give 0 to 4095"};
  Sentence<0> base_number{"the number of the other base"};
  Sentence<0> base_mark{"the name of the mark it stands on"};
  Sentence<0> no_base{"needs the table [corrections], which says what the first base is"};
  Sentence<0> before_sent{"is below 0, and nothing comes before it is sent; give 0 to 86400"};
  Sentence<0> whole_number{"a whole number"};
  Sentence<0> missing_sentence{"the sentence that is missing, such as \"GST\""};
  Sentence<0> a_rate{"a rate from 0 to 1"};
  Sentence<0> own_frame{"the frame the receiver moves its output to"};
  Sentence<0> an_offset{"the offset east, north and up"};
  Sentence<1> missing{"is missing, give {wanted}"};
  Sentence<0> decimal_year{"(a decimal year)"};
  Sentence<0> positions_frame{"the frame its positions are in, such as \"EPSG:9989\""};
  Sentence<0> station_number{"the station's number as printed"};
  Sentence<0> no_variance{"is below 3, where the variance has no bound; give 0 (none) or 3 to 100"};
  Sentence<1> bad_station{"is {value}, give up to five digits"};
  Sentence<0> station_not_wanted{"is given, but this quality rests on no corrections; leave it out"};
  Sentence<0> trust_it{"trust what nothing speaks against"};
  Sentence<1> seconds_of_work{"{seconds} s of work"};
  Sentence<0> nothing_wrong{"nothing was wrong with this stay"};
  Sentence<0> measure_on{"measure until it is accepted"};
  Sentence<0> reject_it{"reject it with the reason, and measure again"};
  Sentence<0> point_missing{"the point is missing"};
  Sentence<0> wrong_point{"a wrong point stands as accepted"};
  Sentence<2> to_bring_home{"to bring home within {metres} m horizontal and {metres} m vertical"};
  Sentence<0> never_measured{"never measured"};
  Sentence<2> off_by{", {metres} m off horizontally, {metres} m in height"};
  Sentence<0> no_tool_sees{"nothing: no tool sees this by itself"};
  Sentence<3> score{"Score {count} of 100, {count} are needed: {verdict}"};
  Sentence<0> not_passed{"not passed"};
  Sentence<0> thrown_away{"Thrown away though good"};
  Sentence<0> what_to_bring_home{"What was to be brought home"};
  Sentence<0> what_was_made_of_it{"What happened, and what was made of it"};
  Sentence<1> debrief_of{"Debrief of \"{scenario}\" - training, nothing of it is real work"};
  Sentence<1> array_of{"an array of {wanted}"};
  Sentence<1> there_are{"; there are {list}"};
  Sentence<3> unknown_name{"is {value}, give {wanted}{names}"};
  Sentence<0> none_defined{"; none is defined"};
  Sentence<0> ends_too_early{"is not after from_s, give a later second"};
  Sentence<1> tables_of{"tables that start with [[{table}]]"};
  Sentence<1> uses_out_of_order{"number {count} is not later than the one before it"};
  Sentence<1> stands_out_of_order{
      "number {count} begins before the one before it has ended; give the stands in the order of the day"};
  Sentence<0> config_path{"a path, relative to this file, of the configuration the trainee works with"};
  Sentence<0> true_frame{"the frame of the true coordinates, such as \"EPSG:6319\""};
  Sentence<2> bad_start{"is {value}, give {wanted} on a whole second, from 1990 to 2079"};
  Sentence<0> utc_time{"a UTC time such as \"2026-06-03T14:00:00Z\""};
  Sentence<0> what_happens{"what happens, in a sentence or two"};
  Sentence<0> scenario_name{"a name of the scenario"};
  Sentence<0> invented{
      "Invented. Coordinates are those of the marks, errors those of each printed position against the antenna plumb "
      "above its mark, in the frame of its source."};
};
inline constexpr Said kSay;

}  // namespace stillpoint::simulate
