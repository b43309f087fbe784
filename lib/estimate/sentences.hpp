#pragma once
/// How good a mean is and what helps, told while a stay is open.

#include "base/sentence.hpp"

namespace stillpoint::estimate {

struct Sentences {
  Sentence<2> error{"{axis} {length} at 95 % for the average."};
  Sentence<3> error_and_wanted{"{axis} {length} at 95 % for the average, wanted {length}."};
  Sentence<3> two_levels{"Two places {length} apart ({count} and {count} epochs)."};
  Sentence<3> two_levels_in_height{"Two places {length} apart in height ({count} and {count} epochs)."};
  Sentence<0> claim_refuted{"The epochs scatter more than the receiver's error figure allows."};
  Sentence<0> assumed_refuted{"The epochs scatter more than the configured assumed_sigma_m allows."};
  Sentence<0> receivers_figure{"the receiver's error figure"};
  Sentence<0> assumed_sigma{"the configured assumed_sigma_m"};
  Sentence<2> claim_verified{"True if {claim} holds (scale {scale})."};
  Sentence<2> claim_not_verified{"True if {claim} holds (scale {scale}, not verified)."};
  Sentence<0> not_reduced{"Averaging does not reduce the error: the receiver's claim is not proven."};
  Sentence<0> assumed_not_reduced{"Averaging does not reduce the error: assumed_sigma_m is not proven."};
  Sentence<1> checks_prove{"{count} more checks on marks prove it."};
  Sentence<0> check_proves{"1 more check on a mark proves it."};
  Sentence<4> drifts{"{axis} drifts: {length} in {seconds} s, the receiver claims {length}"};
  Sentence<4> wanders{"{axis} drifts: {length} from its mean within {seconds} s, the receiver claims {length}"};
  Sentence<0> the_position{"The position"};
  Sentence<0> the_height{"The height"};
  Sentence<2> epochs_worth{"{count} epochs are worth {count} independent ones."};
  Sentence<1> position_moved{"The position moved: {count} epochs are worth less than one."};

  Sentence<1> come_back_to_decide{"Come back after {clock} and measure again: one place is wrong."};
  Sentence<1> come_back_drifting{"Come back after {clock} and measure again: the position drifts."};
  Sentence<1> come_back_unproven{"Come back after {clock}: staying cannot lower an error that is not proven."};
  Sentence<1> come_back_to_prove{"Come back after {clock} to prove it: no error was asked for."};
  Sentence<1> come_back_to_help{"Come back after {clock}: another visit helps more than staying."};
  Sentence<0> move{"Move away from reflections, or offset the point, and measure again."};
  Sentence<0> keep{"Keep the point: the error is within what was wanted."};
  Sentence<1> stay{"Stand still for about {count} s more."};
  Sentence<0> too_early{"Stand still: it is too early to tell how long it will take."};

  Sentence<0> no_claim{"A visit holds no epochs or no error figure: leave it out and calibrate again."};
  Sentence<0> no_visits{"No visit to a known mark, and no place was visited twice: measure a mark, or come back."};
  Sentence<5> scale_so_far{"{count} of {count} visits, scale so far {scale}, between {scale} and {scale} at 95 %"};
  Sentence<4> scale_rests_on{"best guess {scale}, {scale} to {scale} at 95 %, {visits}"};
  Sentence<1> visits_to_marks{"{count} visits to known marks"};
  Sentence<1> repeat_visits{"{count} repeat visits without truth"};
  Sentence<2> visits_of_both{"{count} visits to known marks and {count} repeat visits"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::estimate
