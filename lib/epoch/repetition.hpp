#pragma once
/// Decides whether a receiver repeats itself: everything it says but its time stays the same for longer than it
/// usually does in this stream.
///
/// A receiver that stands still well repeats its position digits for seconds, and its DOPs and age for minutes: none of
/// that is a fault while anything else it says still moves. So every sentence is compared with the one that stood in
/// its place in the burst before, without its time. How long such a repetition usually lasts is learnt from the stream:
/// from everything but the place at any time, and from all of it while the receiver stands still, for a walk says
/// nothing about standing. Three times the second longest of the last minutes is more than usual; before enough has
/// been heard, longer is waited, the longer the coarser the digits and the fewer the kinds of sentences. Coarse digits
/// that flicker at first may stand for minutes when the position has moved off the edge of a step, so a habit is known
/// only after as long as is waited without one, or 20 minutes.
///
/// A sentence that comes more slowly than the epochs may have changed before the others began to repeat: its first
/// change is no sign of life.
///
/// Units:   milliseconds of stream time.
/// Time:    epochs in the order received; sentences before the epoch that they close.
/// Threads: one object, one thread.
/// Errors:  none. Does not allocate.

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "epoch/epoch.hpp"

namespace stillpoint::epoch {

/// Whether two sentences of one kind say the same, whatever their time. `before` and `now` are what stands between '$'
/// and '*'. In kinds that nobody reads, a field that was and is the instant's time (`time_before`, `time_now`) is none.
bool says_the_same(std::string_view before, std::string_view now, std::string_view time_before,
                   std::string_view time_now) noexcept;

/// How a kind is compared.
enum class Told : std::uint8_t {
  by_epoch,     ///< its values are the epoch's; it begins an instant with its time
  not_at_all,   ///< nothing but time, or the place once more
  behind_time,  ///< as text behind its time, which is the first field
  as_text,      ///< as text
  by_fields,    ///< nobody reads it: any field may be a time
};

class Repetition {
 public:
  /// Every sentence that could be read, before its epoch.
  void hear(std::string_view body) noexcept;
  /// An epoch that closed; true: everything has repeated for longer than usual.
  bool repeats(const Epoch& epoch) noexcept;
  /// The link was cut: what comes next is a new stretch.
  void cut() noexcept { last_ms_.reset(); }

  /// How long everything must repeat, as things stand, before it is reported.
  std::int64_t limit_ms() const noexcept;

 private:
  static constexpr std::size_t kStored = 128;  ///< of longer sentences only the beginning is compared
  struct TimeText {
    std::array<char, 16> digits{};
    std::uint8_t size = 0;
    std::string_view text() const noexcept { return {digits.data(), size}; }
  };
  struct Slot {
    std::uint64_t address = 0;
    std::int64_t epoch = -1;  ///< number of the one it was heard for last
    std::uint32_t burst = 0;  ///< the newest one in which it came
    std::uint8_t size = 0;
    std::array<char, kStored> body{};
    TimeText time;  ///< the newest printed when `body` came
    std::string_view text() const noexcept { return {body.data(), size}; }
  };
  /// The two longest runs of the last minutes, and how many there were.
  class Usual {
   public:
    void note(std::int64_t run_ms, std::int64_t now_ms) noexcept;
    /// Empty while too few runs are known.
    std::optional<std::int64_t> second_longest_ms() const noexcept;

   private:
    struct Part {
      std::int64_t longest_ms = 0, second_ms = 0;
      int runs = 0;
      void note(std::int64_t run_ms) noexcept;
    };
    Part now_, before_;
    std::optional<std::int64_t> since_ms_;
  };
  struct Run {
    std::int64_t since_ms = 0;
    std::int64_t first_epoch = 0;
    bool called = false;  ///< it was told to repeat
  };

  Slot* slot_of(std::string_view body) noexcept;
  void keep(Slot& slot, std::string_view body) const noexcept;
  void compare(Slot& slot, Told told, std::string_view body) noexcept;
  void compare(const Epoch& epoch) noexcept;
  void note_time(std::string_view body) noexcept;
  void note_change(const Epoch& epoch, std::int64_t now_ms) noexcept;
  std::int64_t patience_ms() const noexcept;

  std::array<Slot, 64> slots_{};
  std::size_t used_ = 0;
  std::size_t expected_ = 0;  ///< the slot of the sentence that usually comes next
  std::uint32_t burst_ = 1;
  bool unread_kinds_ = false;                          ///< the stream has kinds that nobody reads, so times are noted
  TimeText time_;                                      ///< the newest printed
  bool whole_changed_ = false, rest_changed_ = false;  ///< since the run of each began
  std::int64_t epoch_ = 0;                             ///< number of the one that comes next

  /// What an epoch says itself. The place moves while the receiver does; the rest tells at any time.
  struct Place {
    std::uint64_t digits = 0;
    std::optional<double> altitude_m, separation_m, speed_mps;
  };
  struct Rest {
    Quality quality = Quality::none;
    std::optional<int> satellites, station;
    std::optional<double> hdop;
    std::optional<nmea::Age> age;
    char rmc_mode = ' ';
  };
  Place place_of_last_;
  Rest rest_of_last_;

  std::optional<std::int64_t> last_ms_;
  Run whole_, rest_;
  Usual usual_whole_, usual_rest_;
  std::optional<std::int64_t> first_run_ms_;  ///< when the first run of either was noted
  int minute_decimals_ = 0;
};

}  // namespace stillpoint::epoch
