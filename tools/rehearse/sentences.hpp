#pragma once
/// What a rehearsal says before, while and after it is played.

#include "base/sentence.hpp"

namespace stillpoint::rehearse {

struct Sentences {
  Sentence<1> kept_in{"Pointbook, record and the daemon's log are in {path}"};
  Sentence<0> no_debrief{"the scenario is over; without --control or --with-daemon there is no debrief"};
  Sentence<1> nobody_reads{"nobody reads from {place}"};
  Sentence<0> nobody_asks{"nobody asks the caster for corrections"};
  Sentence<1> stopped_early{"stopped before anybody read from {place}"};
  Sentence<0> live_daemon{"that daemon does live work; start one with --training"};
  Sentence<1> cannot_write{"cannot write {path}"};
  Sentence<0> ctrl_c{"Ctrl-C ends the day early; the debrief comes at its end."};
  Sentence<0> other_terminal{"In another terminal:"};
  Sentence<1> receiver_sends{"The receiver sends on {place}"};
  Sentence<1> pole_stands{"the pole stands on {name}"};
  Sentence<0> the_walk{"The crew's walk (UTC):"};
  Sentence<1> known_mark{"known mark {name} is on your list: measure it under its own name"};
  Sentence<1> bring_home{"bring home {name}"};
  Sentence<1> invented{"{name} - training, everything is invented"};
  Sentence<0> the_job{"The job:"};
  Sentence<0> the_scenario{"the scenario"};
  Sentence<0> corrections_lost{"the daemon does not read the corrections that the caster sends"};
  Sentence<0> daemon_deaf{"the daemon does not read what is sent to it"};
  Sentence<1> bad_pace{"--pace is {value}, give a number from 1 to 60, or max"};
  Sentence<0> crew_without_daemon{"--crew needs --with-daemon or --control PATH"};
  Sentence<0> max_for_crews{"--pace max is for scripted crews; a person needs 1 to 60"};
  Sentence<0> two_daemons{"--with-daemon starts a daemon, so --control has no meaning beside it"};
  Sentence<0> no_scenario{"--scenario FILE.toml is needed"};
  Sentence<1> terminal_failed{"cannot set up {path}"};
  Sentence<0> nameless_terminal{"the pseudo-terminal has no name"};
  Sentence<0> no_terminal{"cannot open a pseudo-terminal"};
  Sentence<1> cannot_listen{"cannot listen on port {number} of this machine"};
  Sentence<2> no_crew{"there is no crew \"{name}\"; there are {list}"};
  Sentence<0> always_crews{"nothing, distrust"};
  Sentence<0> daemon_gone{"the daemon did not come back after the link was cut"};
  Sentence<0> crew_refused{"- refused or not accepted"};
  Sentence<3> crew_failed{"the crew's \"{verb} {name}\" did not work: {answer}"};
  Sentence<2> cannot_start{"cannot start {path}: {error}"};
  Sentence<1> not_started{"the daemon did not start; it said: {answer}"};
  Sentence<1> holds_rehearsal{"{path} holds a rehearsal already; give another folder"};
  Sentence<0> no_folder{"cannot make a folder under the temporary folder"};
  Sentence<0> the_configuration{"the configuration"};
  Sentence<1> no_config{"{path} names no config, so no daemon can be started for it"};
  Sentence<1> look_there{"{error}; check that it is there and may be read"};
  Sentence<0> made_by{"# Made by stillpoint-rehearse from the scenario's configuration. Training only."};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::rehearse
