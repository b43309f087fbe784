#pragma once
/// The one answer: the word of the plate, its filling, the one figure and what it means, and the sentences.
///
/// Rules:   READY stands only while no point is open, YES and ENOUGH only while one is. No percentage stands beside NO,
///          none beside ENOUGH, and none of 100 beside what would be held.
/// Threads: pure.

#include <cstdint>
#include <string>

#include "client/day.hpp"

namespace stillpoint::client {

/// White is good, `late` counts on late corrections, `waits` does not count and nothing is wrong.
enum class Filling : std::uint8_t { ready, counts, late, enough, waits, wrong, lost };

/// The number that decides the next act. `digits` may be empty: then `of` says it all, or there is nothing to say.
struct Figure {
  std::string digits, unit, of;
};

struct Answer {
  std::string word;
  Filling filling = Filling::wrong;
  Figure figure;
  std::string question;
  std::string what, act;  ///< what is so; what to do
  std::string also;       ///< further reasons, what was collected, or advice
};
Answer answer_of(const Day& day, const Now& now);

/// The name at the head.
std::string title_of(const Day& day);
bool has_reason(const Json& status, std::string_view code);
/// Enough was collected, and keeping now gives an accepted point.
bool is_enough(const Day& day, const Now& now);

}  // namespace stillpoint::client
