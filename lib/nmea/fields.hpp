#pragma once
/// Walks the comma-separated fields of one sentence and reads them exactly, without a locale.
///
/// A field that is there but cannot be right marks the whole walk as failed; a blank one reads as empty.
///
/// There are two walks, and they answer alike: `Fields` looks at one character after the other; `FastFields` marks all
/// commas first and reads several characters at a time.
///
/// Units:   as printed.
/// Time:    milliseconds of the day, digits past milliseconds cut off.
/// Threads: one walker, one thread.
/// Errors:  `failed()`; nothing throws or allocates.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <string_view>

#include "nmea/machine_words.hpp"

namespace stillpoint::nmea {

constexpr bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}

/// The digits of a decimal number without its point and sign.
struct Digits {
  std::uint64_t value = 0;
  int count = 0;     ///< all digits, leading zeros included
  int decimals = 0;  ///< of them behind the point
  bool operator==(const Digits&) const = default;
};

/// Digits with at most one point. More than 18 digits do not fit and give nothing.
std::optional<Digits> to_digits(std::string_view text) noexcept;

/// A decimal number cut at its point.
struct Split {
  std::uint64_t whole = 0;
  std::uint64_t fraction = 0;
  std::uint64_t scale = 1;  ///< 10 to the power of `decimals`
  int whole_digits = 0;
  int decimals = 0;
  bool operator==(const Split&) const = default;
};
std::optional<Split> to_split(std::string_view text) noexcept;

/// The double nearest to a decimal number: '-', digits, one point; any length.
std::optional<double> to_number(std::string_view text) noexcept;

/// hhmmss with or without decimals of a second, in milliseconds.
std::optional<std::int32_t> to_time_of_day(std::string_view text) noexcept;

/// The same three, several characters at once, for a text in front of which `before`, or behind which `behind`, more
/// characters can be read.
///
/// An optional that comes back from a call is written and read in pieces of different sizes, which stalls the processor
/// for longer than the reading takes; so the functions behind them say "none" by a value.
inline constexpr std::int32_t kNoTime = -1;
double number_or_nan(std::string_view text, std::size_t before) noexcept;
std::int32_t time_or_none(std::string_view text, std::size_t behind) noexcept;

STILLPOINT_INLINE std::optional<double> to_number(std::string_view text, std::size_t before) noexcept {
  const double value = number_or_nan(text, before);
  return std::isnan(value) ? std::nullopt : std::optional(value);
}

STILLPOINT_INLINE std::optional<std::int32_t> to_time_of_day(std::string_view text, std::size_t behind) noexcept {
  const std::int32_t ms = time_or_none(text, behind);
  return ms == kNoTime ? std::nullopt : std::optional(ms);
}

/// As `to_split`, but they return false when there is none. The second one is for degrees and minutes: four or five
/// digits, a point, and up to eight more digits.
bool read_split(std::string_view text, Split& out) noexcept;
bool read_split(std::string_view text, std::size_t before, Split& out) noexcept;

STILLPOINT_INLINE std::optional<Split> to_split(std::string_view text, std::size_t before) noexcept {
  Split split;
  return read_split(text, before, split) ? std::optional(split) : std::nullopt;
}

/// Up to nine digits and nothing else; a blank text is no number.
inline std::optional<int> to_whole(std::string_view text) noexcept {
  const auto digit = [text](std::size_t at) { return static_cast<unsigned>(text[at]) - '0'; };
  if (text.size() == 2) {  // by far the most: satellite ids and counts
    const unsigned tens = digit(0);
    const unsigned ones = digit(1);
    if (tens > 9 || ones > 9) return std::nullopt;
    return static_cast<int>(tens * 10 + ones);
  }
  if (text.empty() || text.size() > 9) return std::nullopt;
  unsigned value = 0;
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (digit(at) > 9) return std::nullopt;
    value = value * 10 + digit(at);
  }
  return static_cast<int>(value);
}

/// What both walks share. `Walk` gives `next`, the next field or an empty one behind the last, and `read_number` (NaN:
/// none), `read_split` (false: none) and `read_time` (`kNoTime`) for a field that `next` gave.
///
/// Values go straight to where they are wanted, for the reason given above; a blank field leaves that as it is.
template <class Walk>
class FieldReaders {
 public:
  STILLPOINT_INLINE void number(std::optional<double>& out) noexcept {
    const std::string_view text = walk().next();
    if (text.empty()) return;
    const double value = walk().read_number(text);
    if (std::isnan(value)) return fail();
    out = value;
  }

  /// The same; `decimals` becomes the number of digits behind its point where that is smaller.
  STILLPOINT_INLINE void number(std::optional<double>& out, int& decimals) noexcept {
    const std::string_view text = walk().next();
    if (text.empty()) return;
    const double value = walk().read_number(text);
    if (std::isnan(value)) return fail();
    out = value;
    const std::size_t point = text.find('.');
    const int behind = point == std::string_view::npos ? 0 : static_cast<int>(text.size() - point) - 1;
    decimals = std::min(decimals, behind);
  }

  /// A number that cannot be negative.
  STILLPOINT_INLINE void magnitude(std::optional<double>& out) noexcept {
    number(out);
    if (out && std::signbit(*out)) fail();
  }

  /// A number that nobody wants, but that must be one.
  STILLPOINT_INLINE void pass_number() noexcept {
    std::optional<double> unused;
    number(unused);
  }

  STILLPOINT_INLINE std::optional<int> whole() noexcept {
    const std::string_view text = walk().next();
    if (text.empty()) return std::nullopt;
    return checked(to_whole(text));
  }

  /// So many digits, no more and no fewer.
  STILLPOINT_INLINE std::optional<int> digits(std::size_t count) noexcept {
    const std::string_view text = walk().next();
    if (text.empty()) return std::nullopt;
    if (text.size() != count) fail();
    return checked(to_whole(text));
  }

  STILLPOINT_INLINE std::optional<int> hex_digit() noexcept {
    const std::string_view text = walk().next();
    if (text.empty()) return std::nullopt;
    const auto value = std::string_view("0123456789ABCDEF").find(text[0]);
    if (text.size() != 1 || value == std::string_view::npos) fail();
    return static_cast<int>(value);
  }

  STILLPOINT_INLINE void time_of_day(std::optional<std::int32_t>& out) noexcept {
    const std::string_view text = walk().next();
    if (text.empty()) return;
    const std::int32_t ms = walk().read_time(text);
    if (ms == kNoTime) return fail();
    out = ms;
  }

  /// Passes a value on; none marks the walk as failed.
  template <class T>
  STILLPOINT_INLINE std::optional<T> checked(std::optional<T> value) noexcept {
    if (!value) fail();
    return value;
  }

  STILLPOINT_INLINE void fail() noexcept { failed_ = true; }
  bool failed() const noexcept { return failed_; }

 private:
  STILLPOINT_INLINE Walk& walk() noexcept { return static_cast<Walk&>(*this); }

  bool failed_ = false;
};

class Fields : public FieldReaders<Fields> {
 public:
  /// The fields of `body` behind its address, which ends before `begin`.
  Fields(std::string_view body, std::size_t begin) noexcept : rest_(body.substr(std::min(begin, body.size()))) {
    more_ = begin <= body.size();
  }

  std::string_view next() noexcept {
    if (!more_) return {};
    const std::size_t comma = rest_.find(',');
    const std::string_view field = rest_.substr(0, comma);
    more_ = comma != std::string_view::npos;
    rest_.remove_prefix(more_ ? comma + 1 : rest_.size());
    ++count_;
    return field;
  }

  static double read_number(std::string_view text) noexcept {
    return to_number(text).value_or(std::numeric_limits<double>::quiet_NaN());
  }
  static bool read_split(std::string_view text, Split& out) noexcept { return nmea::read_split(text, out); }
  static std::int32_t read_time(std::string_view text) noexcept { return to_time_of_day(text).value_or(kNoTime); }

  int count() const noexcept { return count_; }  ///< fields taken that were there

 private:
  std::string_view rest_;  ///< behind the last field taken and its comma
  bool more_ = false;
  int count_ = 0;
};

/// `Most` fields at most are looked for, and no more may be taken.
template <std::size_t Most>
class FastFields : public FieldReaders<FastFields<Most>> {
 public:
  /// As `Fields`; `begin` is 1 at least.
  STILLPOINT_INLINE FastFields(std::string_view body, std::size_t begin) noexcept : body_(body) {
    marks_[0] = static_cast<std::uint16_t>(begin - 1);
    if (begin <= body.size()) mark_ends(begin);
  }

  STILLPOINT_INLINE std::string_view next() noexcept {
    if (at_ >= found_) return {};
    const std::size_t begin = marks_[at_] + std::size_t{1};
    ++at_;
    return {body_.data() + begin, marks_[at_] - begin};
  }

  STILLPOINT_INLINE double read_number(std::string_view text) const noexcept {
    return number_or_nan(text, before(text));
  }
  STILLPOINT_INLINE bool read_split(std::string_view text, Split& out) const noexcept {
    return nmea::read_split(text, before(text), out);
  }
  STILLPOINT_INLINE std::int32_t read_time(std::string_view text) const noexcept {
    return time_or_none(text, body_.size() - before(text) - text.size());
  }

  int count() const noexcept { return static_cast<int>(at_); }

 private:
  STILLPOINT_INLINE std::size_t before(std::string_view text) const noexcept {
    return static_cast<std::size_t>(text.data() - body_.data());
  }

  /// Fields end at commas, and at the end of the sentence.
  STILLPOINT_INLINE void mark_ends(std::size_t begin) noexcept {
    constexpr std::size_t kWindow = 64;
    for (std::size_t window = begin;; window += kWindow) {
      const std::size_t size = std::min(kWindow, body_.size() - window);
      std::uint64_t ends = marks_of(body_.data() + window, size, ',');
      if (size < kWindow) ends |= std::uint64_t{1} << size;
      for (; ends != 0 && found_ < Most; ends &= ends - 1) {
        marks_[++found_] = static_cast<std::uint16_t>(window + static_cast<std::size_t>(std::countr_zero(ends)));
      }
      if (found_ == Most || size < kWindow) return;
    }
  }

  std::string_view body_;
  std::array<std::uint16_t, Most + 1> marks_;  ///< one in front of the first field, and one behind each
  std::size_t found_ = 0;                      ///< fields marked
  std::size_t at_ = 0;                         ///< fields taken
};

}  // namespace stillpoint::nmea
