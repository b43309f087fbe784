#pragma once
/// What is said of the record, its files and their sums, and of the room on the disks.
///
/// {name}: a pair of files without folder and ending. {file}: a file of it. {error}: the words of the system.

#include "base/sentence.hpp"

namespace stillpoint::daemon {

struct KeepingSentences {
  // Of the disks.
  Sentence<0> the_record{"the record"};
  Sentence<0> the_book{"the pointbook"};
  Sentence<0> the_both{"the record and the pointbook"};
  Sentence<2> free_on{"{count} MiB free on the disk of {whose}"};
  Sentence<2> low{"{disks}, limit {count} MiB"};

  // Of the record while it is written.
  Sentence<2> not_written{"The raw record in {path} cannot be written: {error}."};
  Sentence<2> left_over{"{error}; remove what is left of {path} by hand"};
  Sentence<1> not_on_list{"is not on the list, {error}"};
  Sentence<1> not_taken_back{"has bytes at its end that cannot be taken back ({error})"};
  Sentence<0> replaced{"was deleted or replaced while it was written"};
  Sentence<1> not_looked_for{"cannot be looked for ({error})"};
  Sentence<2> the_pair{"the pair {name} {fault}"};
  Sentence<1> seconds_lost{"could not be synced ({error}): its last seconds may be lost"};
  Sentence<1> not_synced{"it cannot be synced, {error}"};
  Sentence<0> down{"the record is down"};
  Sentence<2> sums_not_written{"the checksum file {path} cannot be written: {error}"};

  // Of the record as it lies there.
  Sentence<1> line_damaged{"line {line} of pairs.txt is damaged"};
  Sentence<2> list_not_opened{"{path} cannot be opened: {error}"};
  Sentence<2> list_not_written{"{path} cannot be written: {error}"};
  Sentence<1> of_list{"pairs.txt: {error}"};
  Sentence<1> pair_gone{"what was recorded before as {name} is gone"};
  Sentence<0> list_gone{"pairs.txt, the list of its files, is gone"};
  Sentence<1> gone{"{file} is gone"};
  Sentence<1> unreadable{"{file} cannot be read"};
  Sentence<1> changed{"{file} has changed since it was recorded"};
  Sentence<1> sums_missing{"{name}.sha256 is missing or not whole"};
  Sentence<1> sums_changed{"{name}.sha256 has changed since it was written"};
  Sentence<2> kept_at{"{stay}, kept at {time}"};
};
inline constexpr KeepingSentences kSayOfRecord;

}  // namespace stillpoint::daemon
