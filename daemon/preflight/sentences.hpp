#pragma once
/// What is told before a day: of a configuration by --check, of a stream by --check-feed. Each is one line of a list.
///
/// {value}: a number as it stands in the configuration. {kinds}: formatters of sentences, "RMC or ZDA". {part}: "12 of 60
/// epochs". {of_source}: whom a line is about, in brackets.

#include "base/sentence.hpp"

namespace stillpoint::daemon {

struct PreflightSentences {
  // Of the configuration.
  Sentence<1> in_order{"{path} is in order."};
  Sentence<4> project{"project \"{name}\" in {frame}, coordinate epoch {coordinate_epoch}, {height_kind} heights"};
  Sentence<2> antenna{"antenna {metres} m above the mark{reduced}"};
  Sentence<0> by_receiver{" (already reduced by the receiver)"};
  Sentence<3> enough{"a stay is enough after {count} epochs and {value} s, and ends after {value} s"};
  Sentence<2> source{"source \"{source}\", coordinate epoch {coordinate_epoch}"};
  Sentence<2> of_source{"source \"{source}\": {error}"};
  Sentence<2> frames{"frame: {label} to {label}"};
  Sentence<2> operation{"operation: {operation}{by_date}"};
  Sentence<0> by_date{", depends on the date"};
  Sentence<1> accuracy{"accuracy: {value} m"};
  Sentence<0> no_accuracy{"accuracy: not stated"};
  Sentence<1> area{"area: {area}"};
  Sentence<1> note{"note: {error}"};
  Sentence<0> shift_unknown{"shift: not known, name a place with --at"};
  Sentence<1> no_shift{"shift: none, {error}"};
  Sentence<3> shift{"shift: east {metres} m, north {metres} m, up {metres} m"};
  Sentence<4> shift_at{"at {at}{of_area} on {date}{taken_at}"};
  Sentence<0> in_its_area{" (a place in its area)"};
  Sentence<1> taken_at{", taken at {value}"};
  Sentence<2> limit{"{key}: {value}"};
  Sentence<0> not_applied{"not applied"};
  Sentence<1> counts_with{"counts with quality: {list}"};
  Sentence<3> corrections{
      "corrections: fresh up to {value} s, counting up to {value} s; an absent age is {absent_age}"};
  Sentence<0> age_refused{"refused"};
  Sentence<0> age_allowed{"allowed, our own clock then runs"};
  Sentence<0> age_unknown{"unknown: the quality is trusted, and the point is flagged correction-age-unknown"};
  Sentence<2> settles{"settles for {value} s; grows by {value} m a minute while coasting"};
  Sentence<3> scale_verified{"error scale {value}, verified on {count} visits until {date}"};
  Sentence<2> scale_not_verified{"error scale {value}, not verified (error-scale-not-verified): {evidence};"};
  Sentence<2> rests_on{"it rests on {visits}, {count} prove it"};
  Sentence<0> no_evidence{"error_scale_evidence is absent"};
  Sentence<1> widened{"no error is reduced by averaging, and each is widened {value} times"};
  Sentence<2> at_place{"at {at}{of_area}"};
  Sentence<0> in_the_area{" (a place in the area; name yours with --at)"};
  Sentence<2> geoid{"geoid \"{geoid}\", grid {path}"};
  Sentence<1> no_height{"no height here: {error}"};
  Sentence<3> geoid_height{"N {metres} m above the ellipsoid of {frame}, {metres} m above that of ITRF2020;"};
  Sentence<1> geoid_stops{"a receiver whose own N is over {value} m from that stops the work (geoid-contradicted)"};
  Sentence<1> geoid_error{"its own error: {value} m (1 sigma), which no stay averages"};
  Sentence<1> area_looked_at{"area looked at for {list}"};
  Sentence<1> z_above_geoid{"z in {path} is the height above the geoid"};
  Sentence<2> never_so_good{
      "the geoid alone has an error of {metres} m at 95 %, so the height never reaches the wanted {value} m"};
  Sentence<3> caster{"{host} port {port}, mount {name}"};
  Sentence<0> encrypted{"encrypted; the caster must prove its name before anything is sent"};
  Sentence<0> not_encrypted{"not encrypted"};
  Sentence<0> login_in_clear{
      "the user name and the password go out unencrypted, so that anybody on the way can read them: set tls = true "
      "where the caster offers it"};
  Sentence<0> position_leaves{"the receiver's position leaves this machine every 5 s while it has one"};
  Sentence<0> position_stays{
      "the receiver's position stays here; a mount that works out a base near you then brings nothing"};
  Sentence<2> unit_forbids{
      "as a service the daemon may not reach {host}: the unit {name} forbids the Internet; see SERVICE.md for the "
      "drop-in"};
  Sentence<2> unit_may_forbid{
      "as a service the daemon reaches {host} only if its address is among those that the unit {name} allows"};
  Sentence<0> needed{"sentences this needs"};
  Sentence<2> needed_for{"{kinds} for {list}"};
  Sentence<2> listed_in{"{count} from {path}"};
  Sentence<1> base_known{
      "{name} is a base: what it sends of itself proves the frame of its corrections, or contradicts it"};
  Sentence<0> base_unknown{
      "no row says where the base of your corrections stands (status base), so that no stream proves the frame"};
  Sentence<1> not_usable{"not usable: {error}"};
  Sentence<0> no_port{"No serial port is here; plug the receiver in, or pair it and bind its Bluetooth node."};
  Sentence<0> no_description{"no description"};

  // What a sentence of the receiver is needed for, and what it means when none comes.
  Sentence<2> limit_of{"the limit {key} of \"{source}\""};
  Sentence<3> limit_never_passes{"no {kinds}: the limit {key} can never pass (source \"{source}\")"};
  Sentence<1> error_of{"the error of every second of \"{source}\""};
  Sentence<1> no_errors{
      "no GST: without assumed_sigma_m no second of source \"{source}\" has an error, and none can count"};
  Sentence<1> the_limit{"the limit {key}"};
  Sentence<2> without{"no {kinds}: {consequence}"};
  Sentence<0> no_positions{"no GGA, no GNS: there is no position, and no second can count"};
  Sentence<0> the_date{"the date"};
  Sentence<0> no_dates{"no RMC, no ZDA: there is no date, and no second can count (no-date)"};

  // Of a stream.
  Sentence<1> feed_is{"feed {what}"};
  Sentence<0> nothing_came{"is up, and nothing has come over it"};
  Sentence<1> listened{"listened for {seconds} s"};
  Sentence<4> heard{"heard for {seconds} s: {count} bytes, {count} sentences, {count} epochs"};
  Sentence<1> a_second{", {number} a second"};
  Sentence<6> damaged{
      "damaged: {count} with a wrong checksum, {count} without one, {count} cut short, {count} too long, {count} "
      "unreadable, {count} bytes of garbage"};
  Sentence<2> part{"{count} of {count} epochs"};
  Sentence<2> heard_in{"{name} in {part}"};
  Sentence<1> of_this_source{" (source \"{source}\")"};
  Sentence<1> no_age{"no correction age in GGA: with age_missing = \"refuse\" no second can count{of_source}"};
  Sentence<2> own_clock{
      "no correction age in GGA: our own clock runs from when listening begins, and after {seconds} s no second "
      "counts; "
      "stillpoint-office outage-study says whether age_missing = \"trust-quality\" fits this receiver{of_source}"};
  Sentence<4> no_value{"no {limit_name} in {kinds}: the limit {key} can never pass{of_source}"};
  Sentence<0> any_sentence{"any sentence"};
  Sentence<1> error_without_time{
      "no GST carries the time of a position: no second has an error, and none can count{of_source}"};
  Sentence<1> nothing_from{"nothing from source \"{source}\": no epoch matched it"};
  Sentence<0> no_position_yet{"no position yet: the receiver has no fix; give it sky and time"};
  Sentence<0> no_separation{
      "no geoid separation beside the altitude: there is no ellipsoid height, and no second can count"};
  Sentence<0> no_date{"no date in RMC or ZDA: no second can count (no-date)"};
  Sentence<1> no_source{"{part} match no source: look at the stations above and at [[source]] match"};
  Sentence<0> nothing_arrived{"nothing arrived: is the receiver on and sending?"};
  Sentence<1> no_sentence{"no valid sentence: {complaint}"};
  Sentence<1> no_sentence_at_rate{"no valid sentence: {complaint}; is the baud rate right?"};
  Sentence<0> nothing_missing{"nothing is missing"};
  Sentence<0> missing{"missing, and what it means"};
  Sentence<0> pole_stands{"counting, for a pole that stands still"};
  Sentence<2> would_count{"{count} of {count} epochs would count"};
  Sentence<3> would_not{"{count} of {count} not: {why}"};

  // Of the rhythm and the digits of a stream.
  Sentence<4> digits{
      "decimals of {what}: {decimals}, steps of {length}: can be off by {length}, however long a stay is"};
  Sentence<3> too_few_digits{"only {count} decimals of {what}, limit {count}: every second is too coarse"};
  Sentence<2> least_takes{"; the least of {count} epochs takes {duration}"};
  Sentence<2> gap_is{", and a gap is one of more than {duration} (silence_s is {duration})"};
  Sentence<1> too_seldom{": too seldom to hold until the next one, so most seconds have nothing for {list}"};
  Sentence<2> slower{": slower than positions, so {list} go by a value up to {duration} old"};
};
inline constexpr PreflightSentences kSayBefore;

}  // namespace stillpoint::daemon
