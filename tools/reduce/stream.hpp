#pragma once
/// Recorded logs as one stream of bytes, times and commands, in bounded memory.

#include <cstdint>
#include <fstream>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "record/journal.hpp"
#include "record/log_clock.hpp"

namespace stillpoint::reduce {

/// What a stream brings, in the order in which it happened.
struct Sink {
  std::function<void(std::string_view bytes, SteadyTime arrived)> bytes;
  /// Bytes of a log without a journal: what hears their sentences tells their times.
  std::function<void(std::string_view bytes, record::SentenceClock& clock)> untimed;
  std::function<void(const std::string& json, SteadyTime given)> command;
  /// Bytes that were on their way to the receiver; `lost`: its link did not take them. May be empty: nobody asks.
  std::function<void(std::string_view bytes, bool lost, SteadyTime arrived)> corrections{};
  /// Arrival times are a clock's; `said`: what it says of UTC.
  std::function<void(SteadyTime at, std::optional<UtcTime> said)> clock;
  /// The daemon was started anew here; `last` is the last time before. True: so is the session, and time begins again;
  /// false: time runs on.
  std::function<bool(SteadyTime last)> restart;
};

class Stream {
 public:
  /// Checks that every log can be read and reads the journals beside them, each as far as the power let it be written.
  static Result<Stream> open(const std::vector<std::string>& logs);

  /// Plays everything into `sink`. Fails when a file breaks off in the middle of reading, or of a run.
  Result<void> play(const Sink& sink);

  /// True when a journal holds commands that open or close points.
  bool has_commands() const noexcept { return has_commands_; }
  /// True when every log has the journal that the daemon wrote beside it.
  bool is_recorded() const noexcept { return !plain_; }
  /// The power took the end of a file; after `play`.
  bool broke_off() const noexcept { return !cut_.empty(); }
  /// Sentences about what cannot be timed, and what the power took; after `play`.
  std::vector<std::string> notes() const;

 private:
  struct Log {
    std::string path;
    std::optional<record::Journal> journal;
  };
  /// The file of corrections beside a log, and how far it was read.
  struct Corrections {
    std::ifstream in;
    std::uint64_t offset = 0;
    bool over = false;  ///< it ends before the journal says
  };
  /// Reads the journal beside a log into it. False: there is nothing in the pair that can be read, and that is noted.
  Result<bool> take_journal(const std::string& beside, Log& log);
  Result<void> play_journal(const Log& log, bool ends_a_run, const Sink& sink);
  /// A line of the journal that is no arrival. False: the corrections beside the log end before it.
  static bool play_command(const record::JournalLine& line, SteadyTime at, Corrections& beside, const Sink& sink);
  Result<void> play_plain(const Log& log, const Sink& sink);

  std::vector<Log> logs_;
  record::SentenceClock clock_;
  std::vector<std::string> cut_;  ///< a sentence for each file that the power took the end of
  bool has_commands_ = false;
  bool plain_ = false;
  std::optional<SteadyTime> last_;  ///< of the last journal line, as written in it
  std::int64_t shift_ms_ = 0;       ///< what a restart adds to the journal's times so that they never go back
};

}  // namespace stillpoint::reduce
