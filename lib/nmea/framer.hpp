#pragma once
/// Cuts any byte stream into checksum-valid NMEA 0183 sentences and counts, by kind, everything that is not one.
///
/// Units:   offsets are bytes from the start of the stream.
/// Time:    none, but the `c:` time of a TAG block in front of a sentence is handed on as printed.
/// Threads: one framer, one thread.
/// Errors:  none: damage is counted and skipped. Does not allocate, does not throw.
/// Source:  NMEA 0183 framing as published in open manuals: '$' body '*' two hex digits, XOR checksum.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

namespace stillpoint::nmea {

/// One sentence whose checksum agrees. The views live until the next call into the framer.
struct Sentence {
  std::string_view body;             ///< between '$' and '*', e.g. "GNGGA,130749.00,…"
  std::uint64_t begin = 0;           ///< stream offset of the '$'
  std::uint64_t end = 0;             ///< stream offset just behind the second checksum digit
  std::optional<std::int64_t> tag_time;  ///< `c:` of a TAG block directly in front, seconds or milliseconds as printed
};

/// What was not used, by kind. Every byte that is not part of a sentence, a line end or a valid TAG block is in `garbage_bytes`.
struct Damage {
  std::uint64_t bad_checksum = 0;       ///< '*hh' that does not agree with the body
  std::uint64_t no_checksum = 0;        ///< a line that starts like a sentence and ends without '*hh'
  std::uint64_t oversize = 0;           ///< longer than the cap
  std::uint64_t cut_short = 0;          ///< a '$' whose sentence was broken off by another '$' or by the end of the stream
  std::uint64_t malformed = 0;          ///< checksum agrees, but the decoder cannot read the fields (counted by the decoder's caller)
  std::uint64_t garbage_bytes = 0;
  bool operator==(const Damage&) const = default;
};

struct Counters {
  std::uint64_t bytes = 0;
  std::uint64_t sentences = 0;
  Damage damage;
};

class Framer {
 public:
  /// Longest sentence from '$' to the last checksum digit. Real GGA lines reach 92; the standard's 82 is exceeded daily.
  static constexpr std::size_t kMaxSentence = 512;

  /// Feeds bytes, cut anywhere; calls `on_sentence(const Sentence&)` for each sentence completed by them.
  template <class OnSentence>
  void push(std::string_view bytes, OnSentence&& on_sentence);

  /// The stream ended: counts an unfinished sentence. The framer may be used again for a new stream part.
  void finish() noexcept;

  const Counters& counters() const noexcept { return counters_; }
  Damage& damage() noexcept { return counters_.damage; }

 private:
  Counters counters_;
};

}  // namespace stillpoint::nmea
