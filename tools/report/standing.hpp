#pragma once
/// Which points can be used as they stand, and what somebody must decide before the others can.
///
/// Rule:    a point counts as "yes" when it is accepted, no failed check makes it doubtful, its visits agree, it is as
///          good as was wanted, and a check was made after it. What concerns the whole day (not closed, nothing checked,
///          sums that differ, a damaged row, points that still wait, training) withholds every yes.
/// Units:   as in the facts. Threads: pure. Errors: none.

#include <string>
#include <vector>

#include "report/facts.hpp"

namespace stillpoint::report {

enum class Objection : std::uint8_t {
  none,
  rejected,
  held,
  no_second,
  doubtful,
  visits_apart,
  misses_wanted,
  unchecked,
};

Objection objection_to(const Facts& facts, const PointFact& fact);
bool misses_wanted(const Facts& facts, const PointFact& fact);

struct Answer {
  std::size_t yes = 0, of = 0;
  std::vector<std::string> withheld;  ///< why no point counts yet, one sentence each; empty: nothing concerns the day
};
Answer answer_of(const Facts& facts);
/// "21 of 24: yes."
std::string short_answer(const Answer& answer);

/// The points of one objection, in their order.
std::vector<const PointFact*> points_with(const Facts& facts, Objection objection);
/// "CUL-21, CUL-27 and CUL-33", from the fourth on "… and 12 more"
std::string some_names(const std::vector<const PointFact*>& points, std::size_t most = 3);

enum class Choices : std::uint8_t { point, day };

/// One thing that somebody must decide, with a box for each way.
struct Decision {
  std::string question;  ///< "CUL-21: Was the stay long enough?"
  std::string so;        ///< what is so
  std::string for_it;    ///< what speaks for it
  Choices choices = Choices::day;
  const PointFact* point = nullptr;  ///< whose seconds are drawn beside it
};

/// The day's first, then points in their order.
std::vector<Decision> decisions_of(const Facts& facts);

/// In the table of points: "35 s", "two places", "above wanted"
std::string short_reason(const Facts& facts, const PointFact& fact);

}  // namespace stillpoint::report
