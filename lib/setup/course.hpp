#pragma once
/// The whole set-up as one course: where the receiver is, what is heard of it, the questions, and what would be lost.
/// Whoever leads it (the terminal, the page, `--check-feed --write`) listens, reads and writes for it when it says so.
///
/// Units:   none.
/// Time:    none.
/// Threads: one.
/// Errors:  an answer that cannot be taken is refused in one sentence, and the question stays.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "setup/questions.hpp"

namespace stillpoint::setup {

/// What the course waits for.
enum class Wants : std::uint8_t {
  answer,   ///< `answer` or `back`
  hearing,  ///< `hear` of the link of `answers`
  mounts,   ///< `know_mounts` of the caster of `answers`
  file,     ///< `find`: what stands at the path already
  writing,  ///< `text` is to be written and looked at: it is over
  nothing   ///< it is over, and nothing is to be written
};

class Course {
 public:
  struct Around {
    std::vector<std::string> devices;  ///< that may be the receiver
    std::string zone;                  ///< of the machine
    std::string path;                  ///< of the configuration
    Places places;
    std::optional<UtcTime> today{};  ///< by the machine, for a receiver that tells no date
  };
  explicit Course(Around around);
  Course(const Course&) = delete;
  Course& operator=(const Course&) = delete;

  Wants wants() const noexcept { return wants_; }
  Question question() const;
  /// From 1.
  std::size_t number() const noexcept;
  /// Says what the answer leads to, if anything.
  Result<std::string> answer(std::string_view typed);
  void back();

  const Answers& answers() const noexcept { return questions_ ? questions_->answers() : before_; }
  /// What was heard, in lines; an error: the receiver is asked for again. `link`: as asked, with the rate that was found.
  std::vector<std::string> hear(const Result<Heard>& heard, const Link& link);
  /// Empty: the table could not be had.
  void know_mounts(std::optional<ntrip::SourceTable> table);
  /// Empty: there is none.
  void find(const std::optional<std::string>& old_text);

  const Known& known() const noexcept { return known_; }
  /// The configuration.
  std::string text() const;
  /// Three sentences on what the day can and cannot do.
  std::vector<std::string> day() const;

 private:
  enum class Stage : std::uint8_t { receiver, silent, questions, overwrite };

  Result<std::string> answer_receiver(std::string_view typed);
  Result<std::string> answer_yes_no(std::string_view typed);
  void ask();
  void go_on();

  Around around_;
  Known known_;
  Answers before_;  ///< the link, while nothing else is asked yet
  std::optional<Questions> questions_;
  std::string mounts_of_, lost_;
  Stage stage_ = Stage::receiver;
  Wants wants_ = Wants::answer;
};

/// What `old` has and `text` has not, in words; `path` is for messages.
std::string lost_keys(const std::string& old, const std::string& text, const std::string& path);

/// The ids of questions with their answers, from lines as `pole = 2.000 m`; blank lines and those with `#` say nothing.
struct GivenAnswer {
  std::string id, typed;
};
Result<std::vector<GivenAnswer>> given_answers(std::string_view text, const std::string& path);

/// Answers what is asked until the course wants something else: with what was given, else with what is known, else with
/// `?`. An error: an answer cannot be taken.
Result<void> answer_all(Course& course, const std::vector<GivenAnswer>& given);

}  // namespace stillpoint::setup
