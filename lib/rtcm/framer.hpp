#pragma once
/// Cuts a stream of corrections into RTCM 3 frames whose checksum agrees, and counts everything that is none.
///
/// A frame is the byte D3, six zero bits, a length of ten bits, that many bytes, and a CRC-24Q of all of it. What looks
/// like a frame and is none costs its first byte only; the rest is looked at afresh.
/// The answer depends on the bytes alone, never on how they were cut into chunks.
///
/// Units:   offsets are bytes from the start of the stream.
/// Time:    none.
/// Threads: one framer, one thread.
/// Errors:  none: damage is counted and skipped. Does not allocate, does not throw.
/// Source:  RTCM 10403 transport layer; CRC-24Q with polynomial 0x864CFB, initial value 0, not reflected.

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace stillpoint::rtcm {

/// CRC-24Q of all bytes.
std::uint32_t crc24q(std::string_view bytes) noexcept;

/// One frame whose checksum agrees. The body is only there while the callback runs.
struct Frame {
  std::string_view body;    ///< the message, without head and checksum; may be empty (a filler)
  std::uint64_t begin = 0;  ///< stream offset of the D3
  std::uint64_t end = 0;    ///< stream offset just behind the checksum
};

/// What was not used, by kind. Every byte that belongs to no frame is in `garbage_bytes`.
struct Damage {
  std::uint64_t bad_checksum = 0;  ///< something that begins like a frame and whose checksum disagrees
  std::uint64_t cut_short = 0;     ///< the stream ended inside what began like a frame
  std::uint64_t malformed = 0;  ///< checksum agrees, but the message is shorter than its type (counted by the caller)
  std::uint64_t garbage_bytes = 0;
  bool operator==(const Damage&) const = default;
};

/// At any time between two calls: bytes = frame_bytes + damage.garbage_bytes + those of a frame still unfinished (none
/// after `finish`).
struct Counters {
  std::uint64_t bytes = 0;
  std::uint64_t frames = 0;
  std::uint64_t frame_bytes = 0;
  Damage damage;
  bool operator==(const Counters&) const = default;
};

class Framer {
 public:
  static constexpr std::size_t kHead = 3;
  static constexpr std::size_t kChecksum = 3;
  static constexpr std::size_t kLongestBody = 1023;
  static constexpr std::size_t kLongest = kHead + kLongestBody + kChecksum;

  /// Feeds bytes, cut anywhere; calls `on_frame(const Frame&)` for each frame completed by them.
  template <class OnFrame>
  void push(std::string_view bytes, OnFrame&& on_frame) {
    counters_.bytes += bytes.size();
    Frame frame;
    while (!bytes.empty()) {
      bytes.remove_prefix(hold(bytes));
      while (next(frame)) on_frame(static_cast<const Frame&>(frame));
    }
  }

  /// The stream ended: what is unfinished holds no whole frame any more, or smaller frames that it hid.
  template <class OnFrame>
  void finish(OnFrame&& on_frame) {
    Frame frame;
    while (held() > 0) {
      while (next(frame)) on_frame(static_cast<const Frame&>(frame));
      drop_unfinished();
    }
  }

  const Counters& counters() const noexcept { return counters_; }
  Damage& damage() noexcept { return counters_.damage; }

 private:
  std::size_t held() const noexcept { return end_ - begin_; }
  /// Takes as many bytes as there is room for; at least one.
  std::size_t hold(std::string_view bytes) noexcept;
  /// The next frame among the bytes held. False: more bytes are needed.
  bool next(Frame& out) noexcept;
  void drop_unfinished() noexcept;
  void skip(std::size_t bytes) noexcept;

  Counters counters_;
  std::uint64_t position_ = 0;  ///< stream offset of the first byte held
  std::size_t begin_ = 0, end_ = 0;
  std::array<char, 4 * kLongest> buffer_{};
};

}  // namespace stillpoint::rtcm
