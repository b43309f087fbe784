#pragma once
/// What is so and what to do, as screen, page and printed lines tell it. A refused second is told in the judge's own
/// words (`gate/sentences.hpp`) with the advice of its reason (`gate/verdict.hpp`).
///
/// {point}: "point" or "check". {left}: "12 s" or "a while". Whoever has no keys reads the command instead.

#include "base/sentence.hpp"

namespace stillpoint::wire {

struct Sentences {
  Sentence<0> daemon_lost{"Stillpoint does not answer: every value here is OLD."};
  Sentence<0> daemon_lost_act{"Wait. If it does not come back, start Stillpoint again."};
  Sentence<1> standstill{"Nothing is judged: {why}."};
  Sentence<1> standstill_act{"Free space on the disk of the record; it goes on by itself.{kept}"};
  Sentence<0> waiting{"Waiting for the receiver."};
  Sentence<1> waiting_for{"Waiting for the receiver: {feed}."};
  Sentence<1> waiting_act{"Switch it on and check its link; the daemon keeps trying.{kept}"};
  Sentence<0> silent{"The receiver is silent."};
  Sentence<1> silent_act{"Check its battery and its link.{kept}"};
  Sentence<0> kept{" What was counted is held, not lost."};
  Sentence<0> ended{"The feed has ended."};
  Sentence<1> ended_at{"The feed has ended: {feed}."};
  Sentence<0> ended_act{"Stop the daemon, or give it a new feed."};
  Sentence<0> ended_act_open{"Keep the point or discard it."};
  Sentence<0> frozen{"The receiver repeats itself: its values are frozen."};
  Sentence<0> nothing_heard{"Nothing has been heard of this second yet."};
  Sentence<0> nothing_heard_act{"Wait for the first position."};
  Sentence<0> wait_here{"Wait here: the average waits, nothing is lost."};
  Sentence<0> walk_on{"Walk on. At the next mark, stand still and hold the pole upright."};
  Sentence<0> wait{"Wait until it counts again."};

  Sentence<1> two_places{"Two places {metres} m apart: the point will be held."};
  Sentence<1> will_be_held{"The point will be held: {hold}."};
  Sentence<1> enough_but_held{"Enough has been collected; kept now it will be held: {hold}."};
  Sentence<0> spoilt_act_keys{"Discard it (3) and begin anew (1), or keep it as held (2)."};
  Sentence<0> spoilt_act{"Begin anew: stillpoint discard, then stillpoint begin NAME"};

  Sentence<1> coasting{"Counting on late corrections. They stop counting in {left}."};
  Sentence<1> unproven{"No proof of corrections any more. They stop counting in {left}."};
  Sentence<0> coasting_act{"They must become fresh again before that."};
  Sentence<0> coasting_act_open{"Stand still. At 0, wait here: the average waits, nothing is lost."};
  Sentence<1> coasting_act_enough{"Keep the {point} now: enough has been collected."};

  Sentence<0> above_wanted{"Time and epochs are enough; the error is above what was wanted."};
  Sentence<0> above_wanted_act{"Stay for a smaller error, or keep it."};
  Sentence<1> above_wanted_act_keys{"Stay for a smaller error, or keep the {point} so: press 2."};
  Sentence<0> enough{"Fresh corrections, and enough has been collected."};
  Sentence<1> enough_act{"Keep the {point}: stillpoint keep"};
  Sentence<1> enough_act_keys{"Keep the {point}: press 2."};
  Sentence<0> averaging{"Fresh corrections: averaging."};
  Sentence<0> averaging_act{"Stand still until it is enough."};
  Sentence<0> ready{"Fresh corrections: ready."};
  Sentence<0> enough_unknown{"Corrections of unknown age, and enough has been collected."};
  Sentence<0> averaging_unknown{"Corrections of unknown age: averaging."};
  Sentence<0> ready_unknown{"Corrections of unknown age: ready."};
  Sentence<0> ready_act{"Begin a point: stillpoint begin NAME"};
  Sentence<0> ready_act_keys{"Put the tip on the mark, then begin a point: press 1."};

  // Of a line that is no request or no answer.
  Sentence<1> too_long{"the message is longer than {count} bytes"};
  Sentence<0> too_deep{"the message is nested too deeply"};
  Sentence<0> no_json{"the message is not valid JSON"};
  Sentence<0> batch{"batches are not taken, send one request a line"};
  Sentence<0> no_object{"a request is a JSON object"};
  Sentence<0> no_version{"\"jsonrpc\" must be \"2.0\""};
  Sentence<0> no_method{"\"method\" must be a text"};
  Sentence<0> long_method{"\"method\" must be a text of 1 to 64 bytes"};
  Sentence<0> bad_params{"\"params\" must be an object or an array"};
  Sentence<0> bad_id{"\"id\" must be a text, a number or null"};
  Sentence<0> unreadable_error{"the answer holds an error that cannot be read"};
  Sentence<0> not_finite{"the answer holds a number that is not finite"};
  Sentence<0> no_answer{"the answer is not a JSON-RPC 2.0 message"};
  Sentence<0> unreadable_method{"the answer holds a method that cannot be read"};
  Sentence<0> result_or_error{"the answer needs a result or an error, not both"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::wire
