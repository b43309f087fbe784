#pragma once
/// What is told of feeds: how they stand, why they were lost, what a log is read by, and what is wrong with a port.
///
/// {feed}: a feed as it is named. {error}: the words of the system.

#include "base/sentence.hpp"

namespace stillpoint::daemon {

struct FeedSentences {
  Sentence<0> unknown_kind{"This kind of feed is not known."};

  // Of a caster.
  Sentence<2> login_unreadable{"The file of credentials {path} {fault}; check credentials in [corrections]."};
  Sentence<2> login_open_to_others{
      "Others can read or change the file of credentials {path} (mode {number}); give it mode 0600."};
  Sentence<1> login_no_two_lines{
      "The file of credentials {path} must have the user name on its first line, the password on its second, and no "
      "more."};
  Sentence<2> authority_unusable{"The certificates {path} cannot be used: {error}; check authority in [corrections]."};

  // Of several feeds.
  Sentence<0> nothing_came{"nothing has come from it"};
  Sentence<1> is_silent{"{feed} is silent"};
  Sentence<4> changes_to{"{feed} (feed {number} of {number}, {because_of})"};
  Sentence<0> well_again{"well again"};
  Sentence<1> in_place_of{"in place of: {fault}"};

  // Of a log.
  Sentence<2> end_of_log{"{feed}: end of the log, {about}"};
  Sentence<1> log_is_folder{"The log {path} is a folder; name a file in [[feed]]."};
  Sentence<2> log_not_opened{"The log {path} {fault}; check file in [[feed]]."};
  Sentence<2> no_log{"The log {path} {fault}, or name another file in [[feed]]."};
  Sentence<2> journal_unusable{"The journal {path} cannot be used: {error}"};
  Sentence<0> log_empty{"the log is empty"};
  Sentence<0> by_tag{"times from the TAG blocks of the log"};
  Sentence<0> by_utc{"times from the UTC in the log, so silence and repetition cannot be timed"};
  Sentence<0> no_times{"no sentence with a time was found in the log"};
  Sentence<0> by_journal{"times from the journal beside the log"};
  Sentence<1> by_cut_journal{"times from the journal beside the log, which {fault}"};

  // Of senders.
  Sentence<2> two_senders{
      "two senders at once: {sender} is used, {sender} is left out; stop one, or name one with from"};
  Sentence<2> other_sender{"the bytes come from {sender} now, before from {sender}: is it the same receiver?"};

  // Of a serial port.
  Sentence<1> no_device{"there is no {path}; is the receiver plugged in?"};
  Sentence<2> not_allowed{"{path} may not be opened; join its group{group} and log in again"};
  Sentence<1> in_use{"{path} is in use by another program; close that"};
  Sentence<2> not_opened{"{path} cannot be opened ({error})"};
  Sentence<2> rate_refused{"{path} does not take {number} baud, 8 bits, no parity"};
  Sentence<1> no_serial_port{"{path} is not a serial port"};
  Sentence<0> built_in{"built in"};
  Sentence<0> ports_unknown{"The serial ports of this machine cannot be listed."};

  // Of a live link: why it is lost, and what is done.
  Sentence<1> up_and_silent{"{feed}: the link is up, and nothing has come over it yet"};
  Sentence<2> no_nmea{"bytes come, but no NMEA sentence in {count} s; {hint}"};
  Sentence<2> nothing_for{"no {what} for {count} s"};
  Sentence<2> nothing_at_all{"no {what} for {count} s; is the receiver on and set to send here?"};
  Sentence<1> tries_again{"{error}; trying again"};
  Sentence<1> opens_again{"{fault}; opening it again"};
  Sentence<1> connects_again{"{fault}; connecting again"};
  Sentence<1> still_listening{"{fault}; still listening"};
  Sentence<1> is_rate_right{"is {number} baud the receiver's rate, and does it send NMEA?"};
  Sentence<0> no_usual_rate{
      "bytes come, but no NMEA sentence at any usual rate; does the receiver send NMEA? Trying again"};
  Sentence<0> no_bytes_at_any_rate{"no bytes at any rate; is the receiver on and set to send here? Trying again"};
  Sentence<0> bluetooth_dropped{"the Bluetooth link dropped; is the receiver on and near? Opening it again"};
  Sentence<0> port_hung_up{"the port hung up; is the cable in and the receiver on? Opening it again"};
  Sentence<1> not_watched{"the port cannot be watched ({error}); trying again"};
  Sentence<1> no_host{"the host name cannot be found ({error}); trying again"};
  Sentence<0> no_answer{"no answer within 5 s; trying again"};
  Sentence<0> connection_refused{"connection refused; is its sender running? Trying again"};
  Sentence<0> is_port_right{"is this the port the receiver sends NMEA to?"};
  Sentence<0> connection_closed{"the other side closed the connection; connecting again"};
  Sentence<1> connection_broke{"the connection broke ({error}); connecting again"};
  Sentence<1> no_address{"\"{address}\" is not an address; write numbers such as 127.0.0.1"};
  Sentence<0> address_taken{"this address and port cannot be taken; another program may have them; trying again"};
  Sentence<2> left_out{"datagrams of {sender} are left out; from = \"{address}\""};
  Sentence<2> others_send{"no datagrams from {address}, but some from {address}; is from right?"};
  Sentence<1> receiving_failed{"receiving failed ({error}); trying again"};
};
inline constexpr FeedSentences kSayOfFeeds;

}  // namespace stillpoint::daemon
