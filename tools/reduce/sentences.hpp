#pragma once
/// What the recomputation refuses or could not read.

#include "base/sentence.hpp"

namespace stillpoint::reduce {

struct Sentences {
  Sentence<0> output_lost{"cannot write the results to standard output"};
  Sentence<1> nothing_readable{"nothing can be read in the log: {why}"};
  Sentence<0> the_visits_file{"the visits file"};
  Sentence<0> day_closed{"the day was closed, as the record says"};
  Sentence<1> exists_already{"{path} is there already; name a new file, nothing is overwritten"};
  Sentence<1> name_no_utf8{"the name {name} is no UTF-8 text; rename it"};
  Sentence<3> moved{"{option} is stillpoint-office {verb} now; see stillpoint-office {verb} --help"};
  Sentence<0> height_after_restart{"the configuration's height after a restart"};
  Sentence<0> no_journal{
      "a log has no journal and no time tags: silence and repetition in it cannot be timed, only gaps in its own UTC"};
  Sentence<1> half_way{"reading {path} failed half way"};
  Sentence<1> power_lost{
      "{path} is shorter than its journal says, as after a loss of power: the journal is read to where the bytes end, "
      "and what it says after that is left out"};
  Sentence<1> corrections_cut{
      "{path} ends before its journal says, or is missing: what is known of the base and of corrections ends there"};
  Sentence<1> record_cut{"{path} is shorter than its journal says; the record was cut"};
  Sentence<0> the_journal{"the journal"};
  Sentence<2> bad_log{"the log {path} {fault}"};
  Sentence<2> save_first{"{path} {fault}; save the bytes as a file first"};
  Sentence<1> is_folder{"{path} is a folder; name the .nmea files in it"};
  Sentence<1> no_log{"no such log: {path}"};
  Sentence<2> longer_than_journal{
      "{path} is longer than its journal says, as after a loss of power: nobody knows when its last {bytes} came, so "
      "they are left out"};
  Sentence<1> bytes_left_out{"nobody knows when the {bytes} beside it came, so they are left out"};
  Sentence<0> nothing_in_pair{"nothing is in the pair"};
  Sentence<2> no_first_line{"{path} has no whole first line, as after a loss of power: {consequence}"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::reduce
