#pragma once
/// What is said of files that people name and of texts that people type.
///
/// {fault}: the predicate of a path, as "is a folder". {what}: what the file or the text is for, as "the marks file".

#include "base/sentence.hpp"

namespace stillpoint {

struct Sentences {
  Sentence<2> cannot_read{"cannot read {path}: it {fault}"};
  Sentence<1> cannot_read_at_all{"cannot read {path}; check that it exists and is readable"};
  Sentence<1> half_way{"reading {path} failed half way; the disk may be faulty"};
  Sentence<0> missing{"does not exist"};
  Sentence<0> is_device{"is no file but a socket or a device"};
  Sentence<1> not_opened{"cannot be opened ({error})"};
  Sentence<0> is_pipe{"is no file but a pipe or a device"};
  Sentence<1> not_read{"cannot be read to its end ({error})"};
  Sentence<1> too_large{"is larger than {size}"};
  Sentence<3> cannot_read_file{"cannot read {what} {path}: it {fault}"};
  Sentence<2> too_long{"{what} is longer than {count} bytes"};
  Sentence<1> no_utf8{"{what} is no UTF-8 text"};
  Sentence<2> unseen{"{what} holds a character that cannot be seen (U+{code}); type it anew"};
  Sentence<1> no_letter_first{
      "{what} must begin with a letter or a digit: what begins with a sign is a formula to a spreadsheet"};
};
inline constexpr Sentences kSayOfBase;

}  // namespace stillpoint
