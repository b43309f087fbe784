#pragma once
/// What the set-up asks, hints and refuses, and what it writes behind the values of a configuration.
///
/// {kinds_heard}: "GGA every 1 s, GST every 5 s". {stations}: "131, blank". {apart}: how far a frame lies from ITRF2020 here.

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

  // Questions, each with its hints and what not knowing leads to.
  Sentence<0> ask_project{"What is the work called?"};
  Sentence<0> ask_crew{"Which crew are you?"};
  Sentence<0> ask_corrections{"Which corrections will the receiver use: satellites, network, or both?"};
  Sentence<0> hint_corrections{"Satellites give submetre, a network over the phone gives centimetres."};
  Sentence<0> ask_wanted{"How large may a point's horizontal error be, at 95 %?"};
  Sentence<0> hint_wanted{"Write it with m, mm or ft. It is shown beside what is reached."};
  Sentence<0> ask_wanted_height{"And its vertical error, at 95 %?"};
  Sentence<0> ask_frame{"In which frame does the office want the points?"};
  Sentence<0> hint_frame{"Give a number of the list or a code such as EPSG:6319; ? when you do not know."};
  Sentence<0> frame_unknown{"The frame stays open: ask the office. No day can begin before it is filled in."};
  Sentence<0> ask_heights{"Heights above the ellipsoid, or above a geoid?"};
  Sentence<0> hint_heights{"Write ellipsoid, or the path of the geoid's grid file."};
  Sentence<0> ask_network_frame{"In which frame does the network send?"};
  Sentence<0> hint_network_frame{
      "Only its operator knows. A wrong one moves every point by as much as the list says, and shows no sign."};
  Sentence<0> network_frame_unknown{
      "The network's frame stays open: ask its operator. No day can begin before it is filled in."};
  Sentence<0> ask_epoch{"Which epoch do its coordinates have?"};
  Sentence<0> hint_epoch{"A year such as 2010.0, or observation; its operator's page says it."};
  Sentence<0> epoch_unknown{"The epoch stays open: ask the operator. It can be worth a decimetre."};
  Sentence<0> ask_evidence{"How do you know the network's frame?"};
  Sentence<0> hint_evidence{"Write who said it and when; whoever defends the points will ask."};
  Sentence<0> evidence_unknown{"The evidence stays open: no day can begin before somebody writes how it is known."};
  Sentence<0> ask_marks{"Which file has your control marks?"};
  Sentence<0> hint_marks{"A path, or none. Without marks nothing can prove the day."};
  Sentence<0> ask_pole{"How long is the pole?"};
  Sentence<0> hint_pole{"As you set it, such as 2.000 m or 6.562 ft."};
  Sentence<0> ask_adapter{"How far above the pole's top is the antenna's measuring point?"};
  Sentence<0> hint_adapter{"It is printed on the antenna or in its sheet, such as 95 mm."};

  // Answers that cannot be taken.
  Sentence<0> answer_wanted{"This one needs an answer."};
  Sentence<0> must_be_known{"This must be known: nothing can be guessed in its place."};
  Sentence<0> one_of_three{"Write satellites, network or both."};
  Sentence<1> comma{"Write the number with a point: \"{typed}\" can be read in two ways."};
  Sentence<1> no_length{"\"{typed}\" is no length: write one such as 2.000 m, 95 mm or 6.562 ft."};
  Sentence<3> out_of_range{"\"{typed}\" cannot be right: give {metres} to {metres} m."};
  Sentence<1> no_link{
      "\"{typed}\" is no receiver: give a device such as /dev/ttyACM0, or a host and port as 192.168.42.1:9001."};
  Sentence<2> no_such_number{"There is no {typed} in the list of {count}."};
  Sentence<1> no_code{"\"{typed}\" is no code of a frame: give one such as EPSG:6319."};
  Sentence<1> no_year{"\"{typed}\" is no epoch: give a year such as 2010.0, or observation."};
  Sentence<0> the_answer{"the answer"};
  Sentence<1> not_taken{"This cannot be taken: {fault}."};

  // The list of frames.
  Sentence<4> frame_row{"{count}. {code} {name}, {apart}"};
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
  Sentence<0> as_typed{"as lengths were typed"};
  Sentence<0> of_machine{"of this machine"};
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
