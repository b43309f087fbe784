#pragma once
/// What a caster answers, read as it comes: its first line, its header, and then the corrections themselves or the table
/// of its streams.
///
/// The first line is read by hand, since the first version of the protocol answers `ICY 200 OK`, which is no HTTP, with
/// or without header lines and a blank line behind it; an unknown stream is answered with the table and "200 OK".
/// The answer depends on the bytes alone, never on how they were cut into chunks.
///
/// Time:    none: who waits for an answer looks at a clock.
/// Threads: one reply, one thread.
/// Errors:  `Outcome`; what a sentence quotes of the caster is printable ASCII and at most 80 characters.
/// Limits:  first line 512 bytes, header 8 KiB, table 4 MiB: a caster that sends more is none.
/// Source:  RTCM 10410.0 and 10410.1, from memory; RFC 9112 (HTTP/1.1, chunks).

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace stillpoint::ntrip {

enum class Outcome : std::uint8_t {
  waiting,        ///< the answer has not come whole
  corrections,    ///< they come
  table,          ///< the table of streams comes or has come
  login_refused,  ///< or there was none
  mount_unknown,  ///< with a code; with `table` a caster of the first version says the same
  caster_error,   ///< any other code
  no_caster,      ///< what answers speaks another protocol
  damaged,        ///< chunks that are none, or more than the limits allow
};

class Reply {
 public:
  static constexpr std::size_t kLongestLine = 512;
  static constexpr std::size_t kLongestHeader = 8192;
  static constexpr std::size_t kLongestTable = 4U << 20U;

  /// Takes what came; appends what of it are corrections to `corrections`, untouched.
  void push(std::string_view bytes, std::string& corrections);

  Outcome outcome() const noexcept { return outcome_; }
  /// Nothing follows that would be read: the last chunk or the end of the table has come, or the answer is a fault.
  bool has_ended() const noexcept { return part_ == Part::over; }
  /// The first line, printable and short; empty until it has come.
  const std::string& status() const noexcept { return status_; }
  /// Of `table`: as far as it has come.
  const std::string& table() const noexcept { return table_; }
  /// One sentence about an outcome that brings no corrections; empty while there is nothing to say.
  /// `asked_for_table`: then a table is no fault.
  std::string fault(bool asked_for_table) const;

 private:
  enum class Part : std::uint8_t {
    first_line,
    header,
    header_of_icy,
    body,
    chunk_size,
    chunk,
    chunk_end,
    trailer,
    over
  };

  std::size_t take(std::string_view bytes, std::string& corrections);
  std::size_t take_line(std::string_view bytes);
  std::size_t take_header_of_icy(std::string_view bytes, std::string& corrections);
  std::size_t take_chunk(std::string_view bytes, std::string& corrections);
  void on_line();
  void on_first_line();
  void on_header();
  void on_header_end();
  void on_chunk_size();
  void body(std::string_view bytes, std::string& corrections);
  void end_with(Outcome outcome) noexcept;

  Part part_ = Part::first_line;
  Outcome outcome_ = Outcome::waiting;
  int code_ = 0;  ///< of HTTP
  bool is_chunked_ = false, is_table_ = false;
  std::size_t header_bytes_ = 0;
  std::uint64_t chunk_left_ = 0;
  std::string line_;    ///< unfinished
  std::string status_;  ///< the first line, printable
  std::string table_;
};

}  // namespace stillpoint::ntrip
