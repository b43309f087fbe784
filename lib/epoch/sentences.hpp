#pragma once
/// What is said of a receiver whose settings changed.

#include "base/sentence.hpp"

namespace stillpoint::epoch {

struct Sentences {
  Sentence<1> no_longer_comes{"{sentence} no longer comes"};
  Sentence<1> comes_now{"{sentence} comes now"};
  Sentence<3> other_talker{"{sentence} comes from talker {talker}, was {talker}"};
  Sentence<2> other_rate{"epochs come {rate}, were {rate}"};
  Sentence<2> other_decimals{"coordinates have {count} decimals of a minute, had {count}"};
  Sentence<1> settings_changed{"the receiver's settings changed: {changes}"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::epoch
