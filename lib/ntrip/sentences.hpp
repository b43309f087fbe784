#pragma once
/// What is said of casters and of what is sent to them.
///
/// {port}: a number. {caster_says}: the caster's own first line.

#include "base/sentence.hpp"

namespace stillpoint::ntrip {

struct Sentences {
  Sentence<0> bad_host{"the caster's host must be a name or an address without blanks"};
  Sentence<1> bad_port{"the caster's port is {port}; ports go from 1 to 65535"};
  Sentence<0> bad_mount{"a mount point is one word of visible ASCII without a slash"};
  Sentence<0> bad_login{"the caster's user name and password must have no control characters, and the name no colon"};
  Sentence<0> bad_gga{"the position for the caster is no GGA sentence"};
  Sentence<1> refused{"the caster refuses the user name or the password (it says \"{caster_says}\")"};
  Sentence<1> unknown_mount{"the caster does not know this mount point (it says \"{caster_says}\")"};
  Sentence<0> table_instead{"the caster does not know this mount point: it sends its table of streams instead"};
  Sentence<1> caster_error{"the caster cannot serve this stream now (it says \"{caster_says}\")"};
  Sentence<1> no_caster{"what answers is no caster (it says \"{caster_says}\")"};
  Sentence<0> no_caster_at_all{"what answers is no caster"};
  Sentence<0> damaged{"the caster's answer breaks its own rules, so that nothing of it can be told apart"};
};
inline constexpr Sentences kSay{};

}  // namespace stillpoint::ntrip
