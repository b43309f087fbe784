#pragma once
/// The questions from which a configuration is made, in their order: each with an answer proposed from what was heard.
/// The terminal and the page ask the same ones; `--check-feed --write` answers them by their ids.
///
/// Units:   as typed: metres, millimetres or decimal feet, with their sign.
/// Time:    none.
/// Threads: one.
/// Errors:  an answer that cannot be taken is refused in one sentence, and the question stays.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "geodesy/here.hpp"
#include "ntrip/source_table.hpp"
#include "setup/answers.hpp"
#include "setup/heard.hpp"

namespace stillpoint::setup {

/// What the questions rest on.
struct Known {
  Heard heard;
  std::vector<geodesy::FrameHere> frames;    ///< that serve the place; empty: not known
  std::string zone;                          ///< of this machine; empty: not known
  std::optional<ntrip::SourceTable> mounts;  ///< of the caster that was named; empty: not known
};

/// The frames that serve the place which was heard, on the day that was, else on `today`.
std::vector<geodesy::FrameHere> frames_of(const Heard& heard, const std::optional<UtcTime>& today);

/// An answer that can be chosen in place of typing it.
struct Choice {
  std::string typed;
  std::string label;
  std::string line;  ///< what it means
};

struct Question {
  std::string id;  ///< a short word
  std::string ask;
  std::vector<std::string> hints;  ///< a line each
  std::vector<Choice> choices;
  std::string proposed;    ///< what an empty answer means; empty: one must be given
  std::string if_unknown;  ///< what `?` leads to; empty: `?` is no answer
  bool is_known = false;   ///< the proposal was heard, or is the machine's: nobody need be asked
};

class Questions {
 public:
  /// `known` must outlive the questions; its mounts may come when they are wanted.
  Questions(const Known& known, Link link);

  bool is_over() const noexcept;
  /// From 1, of those asked so far.
  std::size_t number() const noexcept { return passed_.size() + 1; }
  Question question() const;
  /// Takes an answer and goes on to the next question; says what it leads to, if anything.
  Result<std::string> answer(std::string_view typed);
  /// To the question before; nothing at the first.
  void back();
  bool is_first() const noexcept { return passed_.empty(); }
  /// The next question is better asked with the table of the caster's streams.
  bool wants_mounts() const;
  const Answers& answers() const noexcept { return answers_; }

 private:
  void skip();

  const Known& known_;
  Answers answers_;
  std::vector<std::size_t> passed_;  ///< steps that were asked
  std::size_t at_ = 0;
};

}  // namespace stillpoint::setup
