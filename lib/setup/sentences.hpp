#pragma once
/// What the set-up asks, hints and refuses, and what it writes behind the values of a configuration.
///
/// Every answer `?` has a sentence on what it leads to. {kinds_heard}: "GGA every 1 s, GST every 5 s". {stations}: "131, blank". {apart}: how far a frame lies from ITRF2020 here.

#include "base/sentence.hpp"

namespace stillpoint::setup {

struct Sentences {
  // What was heard.
  Sentence<0> nothing_came{"Nothing came: is the receiver on, and is this its link?"};
  Sentence<0> no_checksums{"Sentences come without checksums: switch them on, a damaged digit could not be told."};
  Sentence<1> no_sentence{"{count} bytes came, and no sentence in them: is the baud rate right, and NMEA switched on?"};
  Sentence<1> sentences_heard{"Sentences: {kinds_heard}."};
  Sentence<1> every{"every {seconds} s"};
  Sentence<4> quality_heard{"Quality {quality} in {seconds}, station {stations}, {age_told}."};
  Sentence<0> blank{"blank"};
  Sentence<0> with_age{"with the age of corrections"};
  Sentence<0> no_age{"without the age of corrections"};
  Sentence<2> digits_heard{"Digits: {count} decimals of a minute, {count} of the height."};
  Sentence<0> no_position{"No position yet: give the receiver sky and time. You can go on without."};
  Sentence<0> no_date{"No date: switch RMC or ZDA on. Without a date no second can count."};
  Sentence<0> no_error{"No error figure (GST): points will rest on assumed errors, and say so."};
  Sentence<1> damaged{"{count} came damaged."};

  // The receiver.
  Sentence<0> ask_receiver{"Where is the receiver?"};
  Sentence<0> hint_receiver{"Choose one, or give a device such as /dev/rfcomm0, or a host and port."};
  Sentence<0> receiver_unknown{
      "The receiver stays open, and nothing is heard. No day can begin before it is filled in."};
  Sentence<0> serial_device{"a serial device"};
  Sentence<0> ask_silent{"Go on without hearing the receiver?"};
  Sentence<0> hint_silent{"What would be heard is then a default of the trade. No asks for the receiver again."};
  Sentence<0> without_hearing{"go on without"};
  Sentence<0> receiver_again{"ask for it again"};

  // Questions, each with its hints and what not knowing leads to.
  Sentence<0> ask_project{"What is the work called?"};
  Sentence<0> project_unknown{"The work has no name yet: the report shows none."};
  Sentence<0> ask_crew{"Which crew are you?"};
  Sentence<0> crew_unknown{"No crew is named: nobody can tell later who measured."};
  Sentence<0> ask_corrections{"Which corrections will the receiver use?"};
  Sentence<0> hint_corrections{
      "If Stillpoint shall bring the network's, give its caster as host:port; \"both\" before it keeps the "
      "satellites."};
  Sentence<0> satellites{"Satellites"};
  Sentence<0> network{"Network"};
  Sentence<0> both{"Both"};
  Sentence<0> satellites_give{"submetre, without service"};
  Sentence<0> network_gives{"centimetres, over the phone"};
  Sentence<0> both_give{"whichever there is"};
  Sentence<0> corrections_as_heard{"What was heard is taken."};
  Sentence<0> corrections_unknown{"Satellites are taken: a network's seconds will not count before it is set up."};
  Sentence<1> ask_mount{"Which stream of {host}?"};
  Sentence<0> hint_mounts{"The nearest come first. The caster does not tell their frame: its operator does."};
  Sentence<0> hint_no_table{"Its table could not be had: give the mount's name as the operator writes it."};
  Sentence<0> mount_unknown{"The stream stays open: no day can begin before it is filled in."};
  Sentence<0> place_unknown{"place not told"};
  Sentence<0> of_network{", network"};
  Sentence<0> mount_wants_position{", wants a position"};
  Sentence<0> mount_wants_login{", wants a login"};
  Sentence<0> ask_login{"Which file holds the caster's login?"};
  Sentence<0> hint_login{
      "A path: the user on its first line, the password on its second, readable for its owner only."};
  Sentence<0> login_in_clear{"Without tls behind the caster's port the login goes out unencrypted."};
  Sentence<0> login_unknown{"The login stays open: no day can begin before its file is named."};
  Sentence<0> no_login{"it asks for no login"};
  Sentence<1> ask_position{"May the receiver's position go to {host}?"};
  Sentence<0> hint_position{"This stream is made for the place where you are."};
  Sentence<0> position_goes{"every 5 s"};
  Sentence<0> position_stays{"then nothing comes"};
  Sentence<0> position_unknown{"The position stays here, and this stream brings nothing."};
  Sentence<0> ask_wanted{"How large may a point's error be, horizontal and vertical, at 95 %?"};
  Sentence<0> hint_wanted{"Such as 0.05 m 0.08 m, or 0.2 ft 0.3 ft. Of one alone the vertical is 1.6 times it."};
  Sentence<0> wanted_unknown{"No error is wanted: nothing is shown beside what is reached."};
  Sentence<0> ask_frame{"In which frame does the office want the points?"};
  Sentence<0> hint_frame{"Choose one, or give its code such as EPSG:6319."};
  Sentence<0> frame_unknown{"The frame stays open: ask the office. No day can begin before it is filled in."};
  Sentence<0> ask_heights{"Heights above the ellipsoid, or above a geoid?"};
  Sentence<0> hint_heights{"For a geoid give the path of its grid file."};
  Sentence<0> ellipsoid{"Ellipsoid"};
  Sentence<0> as_measured{"as they are measured"};
  Sentence<0> heights_unknown{"Heights are above the ellipsoid: ask the office, a geoid's differ by tens of metres."};
  Sentence<0> ask_network_frame{"In which frame does the network send?"};
  Sentence<0> hint_network_frame{
      "Only its operator knows. A wrong one moves every point by as much as the list says, and shows no sign."};
  Sentence<0> network_frame_unknown{
      "The network's frame stays open: ask its operator. No day can begin before it is filled in."};
  Sentence<0> ask_epoch{"Which epoch do its coordinates have?"};
  Sentence<0> hint_epoch{"A year such as 2010.0; its operator's page says it."};
  Sentence<0> observation{"Observation"};
  Sentence<0> day_of_work{"the day of the work"};
  Sentence<0> epoch_unknown{"The epoch stays open: ask the operator. It can be worth a decimetre."};
  Sentence<0> ask_evidence{"How do you know the network's frame?"};
  Sentence<0> hint_evidence{"Write who said it and when; whoever defends the points will ask."};
  Sentence<0> evidence_unknown{"The evidence stays open: no day can begin before somebody writes how it is known."};
  Sentence<0> ask_marks{"Which file has your control marks?"};
  Sentence<0> hint_marks{"The path of a CSV or of a GeoPackage."};
  Sentence<0> no_proof{"nothing can prove the day"};
  Sentence<0> marks_unknown{"No marks are set: nothing can prove the day, and points will say so."};
  Sentence<0> ask_pole{"How long is the pole?"};
  Sentence<0> hint_pole{"As you set it, such as 2.000 m or 6.562 ft."};
  Sentence<0> pole_unknown{"The pole stays open: no day can begin before somebody reads it off."};
  Sentence<0> ask_adapter{"How far above the pole's top is the antenna's measuring point?"};
  Sentence<0> hint_adapter{"It is printed on the antenna or in its sheet, such as 95 mm."};
  Sentence<0> adapter_unknown{"The antenna's offset stays open: look for its sheet. No day can begin without it."};
  Sentence<0> ask_people{"Which time zone and which unit do people here read?"};
  Sentence<0> hint_people{"Such as America/Detroit m, or UTC ft. Files keep UTC and metres."};
  Sentence<1> times_in{"times in {place}"};
  Sentence<0> metres{"Metres"};
  Sentence<0> feet{"Feet"};
  Sentence<0> survey_feet{"US survey feet"};
  Sentence<0> people_unknown{"People read UTC and metres."};
  Sentence<0> yes{"Yes"};
  Sentence<0> no{"No"};
  Sentence<0> none{"None"};

  // At the end.
  Sentence<1> ask_overwrite{"{path} is already there. Write over it?"};
  Sentence<1> would_lose{"It would lose: {keys}."};
  Sentence<0> unreadable_file{"all of it, which cannot be read as a configuration"};
  Sentence<0> values_only{"no key, but the values of today"};
  Sentence<0> written_over{"what is there is lost"};
  Sentence<0> left_there{"it is left as it is"};
  Sentence<0> day_network{"The network gives centimetres where there is service; without it nothing counts."};
  Sentence<0> day_satellites{"Satellites give submetre without service; centimetres cannot be had."};
  Sentence<0> day_both{"The network gives centimetres where there is service, satellites submetre elsewhere."};
  Sentence<0> day_errors{"Every point gets a 95 % error from the receiver's own figures."};
  Sentence<0> day_assumed{"The receiver prints no errors: points rest on assumed ones, and say so."};
  Sentence<0> day_unheard{
      "The receiver was not heard: what it prints, and whether it counts, shows only in the field."};
  Sentence<0> day_undated{"The receiver tells no date, so that no second counts before RMC or ZDA is switched on."};
  Sentence<0> day_proven{"Checks on your marks can prove the day; the first is due at its beginning."};
  Sentence<0> day_unproven{"Without marks nothing can prove the day: points will say that no check was made."};

  // Answers that cannot be taken.
  Sentence<0> answer_wanted{"This one needs an answer; ? means that you do not know."};
  Sentence<0> yes_or_no{"Write yes or no."};
  Sentence<0> one_of_three{"Write satellites, network or both, or a caster as host:port."};
  Sentence<1> comma{"Write the number with a point: \"{typed}\" can be read in two ways."};
  Sentence<1> no_length{"\"{typed}\" is no length: write one such as 2.000 m, 95 mm or 6.562 ft."};
  Sentence<1> two_lengths{"\"{typed}\" is more than two lengths: write two such as 0.05 m 0.08 m."};
  Sentence<3> out_of_range{"\"{typed}\" cannot be right: give {metres} to {metres} m."};
  Sentence<3> unit_wanted{"\"{typed}\" has no unit: write {typed} ft if it was read in feet, or {typed} m."};
  Sentence<1> no_link{
      "\"{typed}\" is no receiver: give a device such as /dev/ttyACM0, or a host and port as 192.168.42.1:9001."};
  Sentence<1> no_rate{"A baud rate of {typed} cannot be: give one from 300 to 4000000, or none, and it is found."};
  Sentence<1> no_caster{
      "\"{typed}\" is no caster: give its host and port, such as caster.example.org:2101; a login has no place there."};
  Sentence<1> no_mount{"\"{typed}\" is no stream: its name is one word without a slash."};
  Sentence<2> mount_not_there{
      "\"{typed}\" is not in the table of {host}: look at its spelling, large and small letters count."};
  Sentence<2> no_such_number{"There is no {typed} in the list of {count}."};
  Sentence<1> no_code{"\"{typed}\" is no code of a frame: give one such as EPSG:6319."};
  Sentence<1> no_year{"\"{typed}\" is no epoch: give a year such as 2010.0, or observation."};
  Sentence<1> no_zone{"\"{typed}\" is neither a zone nor a unit: write such as America/Detroit m."};
  Sentence<0> the_answer{"the answer"};
  Sentence<1> not_taken{"This cannot be taken: {fault}."};
  Sentence<2> no_question{"There is no question \"{typed}\"; there are {list}."};
  Sentence<2> no_answer_line{"Line {line} of {path} is no answer: write such as pole = 2.000 m."};
  Sentence<2> answer_refused{"{typed}: {fault}"};

  // The list of frames.
  Sentence<1> distance{"{metres} m from the satellites' frame here"};
  Sentence<0> distance_unknown{"its distance here is not known"};

  // What is written behind values.
  Sentence<0> preface{"Written by the set-up. Behind each value stands where it comes from."};
  Sentence<0> preface_open{"A \"?\" is still open: no day begins before it is filled in."};
  Sentence<0> asked{"asked"};
  Sentence<0> asked_frame{"asked: what the office wants"};
  Sentence<0> asked_in_feet{"asked; typed in feet"};
  Sentence<0> asked_network{"asked: its operator knows"};
  Sentence<0> asked_evidence{"asked: how it is known"};
  Sentence<0> asked_people{"asked: what people read"};
  Sentence<0> asked_caster{"asked: Stillpoint brings the corrections"};
  Sentence<0> asked_consent{"asked: whether the position may leave this machine"};
  Sentence<0> not_asked_for{"the stream does not ask for it"};
  Sentence<0> of_service{"where the service listens"};
  Sentence<0> usual{"default of the trade"};
  Sentence<0> heard{"heard"};
  Sentence<0> heard_no_age{"heard: the receiver leaves the age blank"};
  Sentence<0> heard_few{"heard: it prints no more"};
  Sentence<0> heard_no_error{"heard: no GST; default of the trade, flagged on every point"};
  Sentence<0> no_station_heard{"no station was heard: put the network's number here"};
  Sentence<0> not_reduced{"assumed: heights are the antenna's; look at the receiver's own pole height, it must be 0"};
  Sentence<0> geoid_frame{"assumed: look into the grid's sheet"};
  Sentence<0> itrf{"default of the trade: ITRF2020"};
  Sentence<0> satellite_evidence{"the orbits of satellite corrections are aligned to the ITRF"};
};
inline constexpr Sentences kSay{};

}  // namespace stillpoint::setup
