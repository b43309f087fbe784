#pragma once
/// Cuts any byte stream into checksum-valid NMEA 0183 sentences and counts, by kind, everything that is not one.
///
/// A sentence is '$', printable bytes, '*', two hex digits of either case. A second '$' before the '*hh' starts it
/// anew; a line end or a byte outside printable ASCII breaks it off; a '*' without two hex digits is an ordinary byte.
/// The answer depends on the bytes alone, never on how they were cut into chunks.
///
/// Units:   offsets are bytes from the start of the stream.
/// Time:    none, but the `c:` time of a TAG block in front of a sentence is handed on as printed.
/// Threads: one framer, one thread.
/// Errors:  none: damage is counted and skipped. Does not allocate, does not throw.
/// Source:  NMEA 0183 framing as published in open manuals: '$' body '*' two hex digits, XOR checksum.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <utility>

namespace stillpoint::nmea {

constexpr bool is_line_end(char c) noexcept {
  return c == '\r' || c == '\n';
}

/// One sentence whose checksum agrees. The body is only there while the callback runs.
struct Sentence {
  std::string_view body;                 ///< between '$' and '*', e.g. "GNGGA,130749.00,…"
  std::uint64_t begin = 0;               ///< stream offset of the '$'
  std::uint64_t end = 0;                 ///< stream offset just behind the second checksum digit
  std::optional<std::int64_t> tag_time;  ///< `c:` of a TAG block directly in front, seconds or milliseconds as printed
};

/// What was not used, by kind. Every byte that is not part of a sentence, a line end or a valid TAG block is in
/// `garbage_bytes`, those of the damaged sentences included.
struct Damage {
  std::uint64_t bad_checksum = 0;  ///< '*hh' that does not agree with the body (of a sentence or of a TAG block)
  std::uint64_t no_checksum = 0;   ///< a line that starts like a sentence and ends without '*hh'
  std::uint64_t oversize = 0;      ///< longer than the cap
  std::uint64_t cut_short = 0;     ///< a '$' whose sentence was broken off by another '$', by a byte that is no text,
                                   ///< or by the end of the stream
  std::uint64_t malformed = 0;     ///< checksum agrees, but the decoder cannot read the fields (counted by the caller)
  std::uint64_t garbage_bytes = 0;
  bool operator==(const Damage&) const = default;
};

/// At any time between two calls: bytes = sentence_bytes + tag_bytes + line_end_bytes + damage.garbage_bytes + the
/// bytes of a sentence or TAG block still unfinished (none after `finish`).
struct Counters {
  std::uint64_t bytes = 0;
  std::uint64_t sentences = 0;
  std::uint64_t lower_case = 0;  ///< sentences with a lower-case hex digit in the checksum: used, but unusual
  std::uint64_t sentence_bytes = 0;
  std::uint64_t tag_bytes = 0;  ///< valid TAG blocks
  std::uint64_t line_end_bytes = 0;
  Damage damage;
  bool operator==(const Counters&) const = default;
};

class Framer {
 public:
  /// Longest sentence from '$' to the last checksum digit. Real GGA lines reach 92; the standard's 82 is exceeded
  /// daily.
  static constexpr std::size_t kMaxSentence = 512;

  /// Feeds bytes, cut anywhere; calls `on_sentence(const Sentence&)` for each sentence completed by them.
  template <class OnSentence>
  void push(std::string_view bytes, OnSentence&& on_sentence) {
    counters_.bytes += bytes.size();
    Sentence sentence;
    while (next(bytes, sentence)) on_sentence(std::as_const(sentence));
  }

  /// The stream ended: counts an unfinished sentence. The framer may be used again for a new stream part.
  void finish() noexcept;

  const Counters& counters() const noexcept { return counters_; }
  Damage& damage() noexcept { return counters_.damage; }

 private:
  enum class Found : std::uint8_t { more, sentence, tag, nothing };
  struct Candidate {
    Found found = Found::more;
    std::size_t length = 0;  ///< bytes used up by it, good or bad
  };

  bool next(std::string_view& rest, Sentence& out) noexcept;
  bool next_held(std::string_view& rest, Sentence& out) noexcept;
  void skip_to_start(std::string_view& rest) noexcept;
  Candidate examine(std::string_view from) noexcept;
  Candidate examine_sentence(std::string_view from) noexcept;
  Candidate examine_tag(std::string_view from) noexcept;
  bool accept(const Candidate& candidate, std::string_view text, Sentence& out) noexcept;
  Candidate drop(std::uint64_t& kind, std::size_t length) noexcept;
  Candidate skip(std::size_t length) noexcept;
  void hold(std::string_view tail) noexcept;

  Counters counters_;
  std::uint64_t position_ = 0;  ///< stream offset behind the last byte used up
  std::optional<std::int64_t> tag_time_;
  std::size_t held_ = 0;  ///< bytes of an unfinished candidate at the front of `carry_`
  std::array<char, kMaxSentence + 1> carry_{};
};

}  // namespace stillpoint::nmea
