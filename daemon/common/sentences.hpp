#pragma once
/// What the daemon answers and tells: refused commands, the day and its closing, what stands in the way of starting.
///
/// {error}: the words of the system, or another room's sentence. {after}: what follows a stay that is open.

#include "base/sentence.hpp"

namespace stillpoint::daemon {

struct Sentences {
  // Of a request and its parameters.
  Sentence<0> unnamed_parameters{"parameters must be an object with names"};
  Sentence<1> no_parameter{"there is no parameter \"{parameter}\""};
  Sentence<1> missing{"\"{parameter}\" is missing"};
  Sentence<1> not_text{"\"{parameter}\" must be a text"};
  Sentence<1> not_yes_or_no{"\"{parameter}\" must be true or false"};
  Sentence<1> not_number{"\"{parameter}\" must be a number"};
  Sentence<1> not_whole{"\"{parameter}\" must be a whole number from 1"};
  Sentence<1> not_stays{
      "\"{parameter}\" must be a list of one or two kept points, each with \"name\" and \"distance_m\""};
  Sentence<1> which_north{
      "\"{parameter}\" must be \"true\", or \"magnetic\" with \"declination_deg\", the degrees to add (east is "
      "positive)"};
  Sentence<1> not_side{"\"{parameter}\" must be \"left\" or \"right\", of the way from the first point to the second"};
  Sentence<1> not_alert{"\"{parameter}\" must be the number of an alert"};
  Sentence<2> wrong_parameters{"{method}: {error}"};
  Sentence<1> no_method{"there is no method \"{method}\""};
  Sentence<2> renamed{"\"{method}\" is called \"{method}\" now"};
  Sentence<1> not_time{"\"{parameter}\" must be a time in UTC like 2026-06-03T14:05:10Z"};
  Sentence<1> may_only_look{"{user} may look but change nothing; join the group of the control socket"};
  Sentence<2> another_is_open{"{stay} is open now, not {stay}; nothing was changed"};
  Sentence<1> none_is_open{"no stay is open now, not {stay}; nothing was changed"};
  Sentence<2> stay{"{name} visit {visit}"};
  Sentence<1> failed_at{"stillpointd failed at \"{method}\"; its log says why, and it goes on"};
  Sentence<1> long_line{"the message is longer than {count} bytes; the connection is closed"};
  Sentence<1> many_clients{"{count} programs are connected already; close one and try again"};
  Sentence<0> antenna_reduced{"The receiver reduces its heights to the mark; nothing is subtracted."};
  Sentence<1> antenna_height{"The antenna is {metres} m above the mark."};

  // The first start and its set-up.
  Sentence<1> not_usable{"The configuration that is there cannot be used: {error}"};
  Sentence<2> cannot_write{"{path} cannot be written: {error}"};
  Sentence<1> first_page_here{"\"{address}\" is no address of this machine alone: give one such as 127.0.0.1:28100"};
  Sentence<0> the_answers{"file of answers"};
  Sentence<1> written_open{"{path} is written, and no day can begin with it before this is put right."};
  Sentence<1> written_in_order{"{path} is written and in order."};
  Sentence<0> only_when_writing{"--receiver, --answers and --answer go with --check-feed and --write"};
  Sentence<0> write_what_is_heard{"--write goes with --check-feed, and --config is then left out"};

  // Of points and checks.
  Sentence<0> nothing_counted{"no second had counted; nothing was kept"};
  Sentence<1> no_point{"no point is called {name}; `points` lists them"};
  Sentence<2> no_visit{"no point is called {name} with visit {visit}; `points` lists them"};
  Sentence<2> not_undecided{"{stay} is {status}; a held point can be accepted or rejected, an accepted one rejected"};
  Sentence<5> wanted_missed{
      "{stay} has an error of {metres} m horizontal and {metres} m vertical at 95 %, and {metres} and {metres} m were "
      "wanted; measure it again, or say --sure to accept it so"};
  Sentence<0> no_word{"the program ended without a word"};
  Sentence<0> no_reason{"say why with a reason; it is stored with the point"};
  Sentence<3> resolved_by{"{stay} is {status} by {user}"};
  Sentence<3> resolved_because{"{stay} was {status} by hand: {why}"};
  Sentence<3> amended_because{"{stay} was amended by hand, it is {stay} now: {why}"};
  Sentence<2> amended_by{"it is {stay} now, amended by {user}"};
  Sentence<0> nothing_to_amend{"say what to change: the name, the code or the note"};
  Sentence<1> is_so_already{"{stay} is so already; nothing was changed"};
  Sentence<0> void_alone{"a point is made void, or its name, code or note is changed; ask for one of them"};
  Sentence<2> two_poles{
      "points since then were measured with the antenna at {metres} m and at {metres} m; say a time at which only one "
      "of them was wrong"};
  Sentence<1> since_later{"the pole was wrong since {clock} UTC, which is still to come; say a time of before"};
  Sentence<0> unread_pole{
      "another program holds the pointbook, so nobody knows which points were measured with the wrong pole; close it "
      "there first"};
  Sentence<2> pole_is{"the antenna is {metres} m above the mark from now on{rest}"};
  Sentence<3> pole_held{", and was since {clock} UTC: {points} held for it{list}"};
  Sentence<1> redo_with{"; the office computes them again with {path}"};
  Sentence<2> redo_unwritten{"; the file for the office, {path}, could not be written ({error}): ask again"};
  Sentence<2> reconsidered{"{stay}: {why}"};
  Sentence<2> decided_by_hand{"{stay}: {why}; it was decided by hand and stays as it is"};
  Sentence<1> battery_low{
      "this machine's battery has {count} % left; keep the open point and plug in a charger, or close the day"};
  Sentence<1> marks_in_book{"{path} is the pointbook itself; copy the marks into a file of their own"};
  Sentence<1> plan_in_book{"{path} is the pointbook itself; copy the planned points into a file of their own"};
  Sentence<2> not_safe{
      "{what} is measured but not yet safe ({error}); it stays in memory and is tried again, so leave the daemon "
      "running"};
  Sentence<0> the_check{"the check"};
  Sentence<0> the_point{"the point"};
  Sentence<1> check_on{"the check on {name}"};

  // Of disk, record and store.
  Sentence<0> many_waiting{"too many points wait for the disk; wait until they are stored"};
  Sentence<0> book_behind{"too much waits for the pointbook already; try again when it is stored"};
  Sentence<1> perhaps_in_book{
      "another program holds the pointbook, so nobody can tell whether {name} was measured before; close it there, or "
      "say --new if it is new"};
  Sentence<1> visit_unknown{
      "another program holds the pointbook, so nobody can tell whether {name} was measured before; close it there, or "
      "give another name"};
  Sentence<0> book_unread{
      "Another program holds the pointbook, so nobody knows what is in it; points and checks are safe in the spool and "
      "wait."};
  Sentence<0> unread_resolve{
      "another program holds the pointbook, so nobody knows what is in it; close it there before a point of before is "
      "resolved"};
  Sentence<2> name_taken{
      "{name} visit {visit} was in the pointbook already, and what was measured today stays in the spool; tell the "
      "office"};
  Sentence<0> unread_close{"another program has held the pointbook since the start; close it there"};
  Sentence<0> no_files_known{"points were kept, and no file of their record is known"};
  Sentence<1> kept_and_missing{"{what} is in the record, and neither in the pointbook nor in its spool"};
  Sentence<1> never_answered{
      "{what} was recorded and never acknowledged: nothing was promised; measure it again, or recompute it with "
      "stillpoint-reduce"};
  Sentence<2> keeps_missing{
      "{what}; look for the file that {path} was, or recompute from the record with stillpoint-reduce"};
  Sentence<0> the_reason{"the reason"};
  Sentence<1> the_parameter{"the {parameter}"};
  Sentence<0> book_held{"Another program holds the pointbook; points and checks are safe in the spool and wait."};
  Sentence<1> points_wait{"Points wait: {error}"};
  Sentence<1> points_unwritten{
      "points cannot be written: {error}; what was measured stays in memory and is tried again, so leave the daemon "
      "running"};
  Sentence<2> stays_open{"points cannot be written: {error}; {name} stays open, keep it when they can be"};
  Sentence<0> no_record{"the record cannot be written"};
  Sentence<0> disk_full{"the disk is full"};
  Sentence<0> disk_full_kept{"the disk is full; what was open is kept; free some space first"};
  Sentence<1> disk_full_first{"the disk is full ({disks}); free some space first"};
  Sentence<1> disk_full_book{
      "the disk is full ({disks}): the stay that was open is kept, no new one can begin; free some space"};
  Sentence<1> disk_full_record{
      "the disk is full ({disks}): the stay that was open is kept, the record is closed, no new one can begin; free "
      "some space"};
  Sentence<1> standstill{"{why}; what was open is kept as held"};
  Sentence<2> stay_not_saved{"the open stay cannot be saved in {path}: {error}; a crash now would cost it"};
  Sentence<2> stay_not_removed{
      "the open stay of before cannot be removed from {path}: {error}; at the next start it would come back"};
  Sentence<2> stay_stays_damaged{
      "The stay that was open when the program ended is damaged and could not be set aside as {path} ({error}); "
      "recompute it from the record with stillpoint-reduce."};
  Sentence<2> unreadable{"{path} cannot be read: {error}."};
  Sentence<1> stay_damaged{
      "The stay that was open when the program ended is damaged and was set aside as {path}; recompute it from the "
      "record with stillpoint-reduce."};

  // Of the command line.
  Sentence<0> only_with_check{"--at and --date belong to --check; give it as well, or leave them out."};
  Sentence<0> config_wanted{"stillpointd needs --config FILE; stillpointd --print-defaults shows how one looks."};
  Sentence<1> no_feed{"{path}: there is no [[feed]]; say where the receiver's bytes come from."};
  Sentence<1> see_help{"{complaint}; stillpointd --help lists what there is"};
  Sentence<1> gave_up{"stillpointd stopped: {error}"};

  // Of files and folders.
  Sentence<0> record_folder{"record folder"};
  Sentence<1> the_record_folder{"the record folder {path}"};
  Sentence<0> socket_folder{"folder of the control socket"};
  Sentence<3> folder_unreached{"The {what} {path} cannot be reached: {error}."};
  Sentence<4> folder_unmade{
      "The {what} {path} cannot be made: {error}; make {path} first and let this user write there."};
  Sentence<2> no_folder{"The {what} {path} is not a folder; choose another path."};
  Sentence<3> folder_unwritable{"The {what} {path} cannot be written: {error}; let this user write there."};

  // Of the day.
  Sentence<2> started{"stillpointd {version} started with {path}"};
  Sentence<0> stopped{"stillpointd was stopped"};
  Sentence<0> being_stopped{"the daemon is being stopped"};
  Sentence<1> kept_after_close{"{name} was kept after the day was closed; it needs closing again"};
  Sentence<1> left_open{
      "{points} of earlier days were never closed: they stay marked day-not-closed, and no closing of today changes "
      "that"};
  Sentence<1> reopens{"; the day was closed at {clock}: a point kept now opens it again, and it needs closing again"};
  Sentence<0> closing_already{"the day is being closed already; wait for it"};
  Sentence<1> not_closed{"the day cannot be closed: {error}"};
  Sentence<2> held_undecided{
      "{points} held and undecided, {list}; settle them with resolve, or say with --leave-held why they stay so"};
  Sentence<0> closed_before{"it was closed already, and nothing was kept since"};
  Sentence<1> spool_waits{"{points} in the spool for the pointbook; close the program that holds it"};
  Sentence<1> record_changed{
      "the record is not what was recorded, {list}; say with --leave-record why it is closed all the same"};
  Sentence<3> by_hand{"{stay}, accepted by {user}: {why}"};
  Sentence<1> some_by_hand{", {count} of them by hand"};
  Sentence<9> closed{
      "the day is closed: {points} accepted{by_hand}, {held}, {count} rejected, {stays} abandoned, {outages}, "
      "{alerts}; "
      "{proof}; {record}"};
  Sentence<1> held_none{"{count} held"};
  Sentence<2> held_left{"{count} held (left because: {why})"};
  Sentence<1> proved{"proved on {name}"};
  Sentence<2> proved_at{"proved on {name} at {clock}"};
  Sentence<1> no_scales{"Where the error scales stand cannot be told: {error}."};
  Sentence<0> not_proved{"no marks are configured, so nothing proves it"};
  Sentence<1> as_recorded{"{files} as recorded"};
  Sentence<2> record_left{"the record is not what was recorded: {fault}; left because: {why}"};
  Sentence<2> and_more{"{fault} and {count} more"};

  // Of the relay, the log and the end.
  Sentence<1> relay_silent{
      "no correction bytes for {seconds} s from the program on the relay; the receiver's own bytes are another matter"};
  Sentence<1> relay_gone{
      "no correction bytes for {seconds} s from the program on the relay, which is gone; the receiver's own bytes are "
      "another matter"};
  Sentence<1> line_lost{"{lines} of the log could not be written and is lost"};
  Sentence<1> lines_lost{"{lines} of the log could not be written and are lost"};
  Sentence<0> points_are_safe{"; points and checks are in it or safe in the spool"};

  // Of the control socket.
  Sentence<3> long_socket_path{
      "The control socket's path has {count} bytes, and this system allows {count}; set a shorter one in [control] "
      "socket: {path}"};
  Sentence<1> socket_taken{"Another stillpointd already answers at {path}; stop it, or set another [control] socket."};
  Sentence<3> socket_lock{"The control socket {path} cannot be made: its lock {path} cannot be opened, {error}."};
  Sentence<1> no_socket{"{path} is there and is no socket; remove it or set another [control] socket."};
  Sentence<2> socket_failed{"The control socket {path} cannot be made: {error}."};
};
inline constexpr Sentences kSay;

/// What began with an alert about the machine, for where there is room for 48 characters.
struct BriefSentences {
  Sentence<0> spool_damaged{"the spool is damaged: some of it was set aside"};
  Sentence<0> spool_failed{"points cannot be written: they are in memory"};
  Sentence<0> stay_unsaved{"the open point cannot be saved"};
  Sentence<0> stay_lost{"a stay ended and left nothing"};
  Sentence<0> name_taken{"a name was in the pointbook already"};
  Sentence<0> store_waiting{"points wait for the pointbook"};
  Sentence<0> battery_low{"the tablet's battery runs down"};
  Sentence<0> disk_low{"little room is left on the disk"};
  Sentence<0> disk_full{"the disk is full: nothing can begin"};
  Sentence<0> record_failed{"the record cannot be written"};
  Sentence<0> keep_unanswered{"a keep of before was never answered"};
  Sentence<0> points_missing{"points that were kept are missing"};
  Sentence<0> sender_changed{"the data comes from another sender"};
  Sentence<0> relay_silent{"the program on the relay has gone silent"};
};
inline constexpr BriefSentences kSayBriefly;

}  // namespace stillpoint::daemon
