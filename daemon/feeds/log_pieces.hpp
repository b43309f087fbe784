#pragma once
/// A recorded log cut into pieces with their arrival times: from the journal beside it when there is one, else from the
/// log's own times.
///
/// Time:    the log's. It never goes backwards.
/// Threads: one object, one thread.
/// Errors:  sentences; a log that carries no time at all arrives in one instant and says so in `about`.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "base/result.hpp"
#include "common/times.hpp"
#include "record/command.hpp"
#include "record/journal.hpp"

namespace stillpoint::daemon {

struct Piece {
  std::string bytes;
  FeedTime arrived;
  bool cut = false;                      ///< the link was cut here when the log was recorded; no bytes
  std::optional<record::Clock> clock{};  ///< what the clock said that stamped the arrivals; no bytes
  enum class To : std::uint8_t { session, receiver, nobody };
  To to = To::session;  ///< `receiver`: corrections that passed to it; `nobody`: its link did not take them
  std::optional<record::Delivery> delivery{};  ///< how the connection to the caster stood from here on; no bytes
};

class LogPieces {
 public:
  static Result<LogPieces> open(const std::string& path);
  LogPieces(LogPieces&&) noexcept;
  LogPieces& operator=(LogPieces&&) noexcept;
  ~LogPieces();

  /// Empty: the log is over.
  std::optional<Piece> next();
  /// Where the times come from, or why there are none; one sentence.
  std::string about() const;
  /// The head of the journal beside the log.
  std::optional<record::JournalHead> head() const;

  struct Source;

 private:
  explicit LogPieces(std::unique_ptr<Source> source) noexcept;
  std::unique_ptr<Source> source_;
};

/// Which UTC belongs to which time of the log: the journal's head, else the first dated epoch, else nothing.
std::optional<record::JournalHead> find_anchor(const std::string& path);

}  // namespace stillpoint::daemon
