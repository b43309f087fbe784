#pragma once
/// The questions from which a configuration is made, in their order: each with an answer proposed from what was heard.
///
/// Units:   as typed: metres, millimetres or decimal feet, with their sign.
/// Time:    none.
/// Threads: one.
/// Errors:  an answer that cannot be taken is refused in one sentence, and the question stays.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "geodesy/here.hpp"
#include "setup/answers.hpp"
#include "setup/heard.hpp"

namespace stillpoint::setup {

/// What the questions rest on.
struct Known {
  Heard heard;
  std::vector<geodesy::FrameHere> frames;  ///< that serve the place; empty: not known
  std::string zone;                        ///< of this machine; empty: not known
};

struct Question {
  std::string ask;
  std::vector<std::string> hints;  ///< a line each
  std::string proposed;            ///< what an empty answer means; empty: one must be given
  std::string if_unknown;          ///< what `?` leads to; empty: `?` is no answer
};

class Questions {
 public:
  /// `known` must outlive the questions.
  Questions(const Known& known, Link link);

  bool is_over() const noexcept;
  /// From 1, of those asked so far.
  std::size_t number() const noexcept { return passed_.size() + 1; }
  Question question() const;
  /// Takes an answer and goes on to the next question; says what `?` leads to, if anything.
  Result<std::string> answer(std::string_view typed);
  /// To the question before; nothing at the first.
  void back();
  const Answers& answers() const noexcept { return answers_; }

 private:
  void skip();

  const Known& known_;
  Answers answers_;
  std::vector<std::size_t> passed_;  ///< steps that were asked
  std::size_t at_ = 0;
};

/// `1.8`, `1.8 m`, `71 mm`, `6.2 ft`. A comma is refused: 1,800 can be read in two ways.
Result<Length> length_of(std::string_view typed);

/// `host:port`, or the path of a device.
Result<Link> link_of(std::string_view typed);

}  // namespace stillpoint::setup
