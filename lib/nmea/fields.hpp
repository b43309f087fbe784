#pragma once
/// Walks the comma-separated fields of one sentence and reads them exactly, without a locale.
///
/// A field that is there but cannot be right marks the whole walk as failed; a blank one reads as empty.
///
/// Units:   as printed.
/// Time:    milliseconds of the day, digits past milliseconds cut off.
/// Threads: one walker, one thread.
/// Errors:  `failed()`; nothing throws or allocates.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string_view>

#include "nmea/words.hpp"

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

/// The same, faster, for a text in front of which `before` more characters can be read.
std::optional<Split> to_split(std::string_view text, std::size_t before) noexcept;
std::optional<double> to_number(std::string_view text, std::size_t before) noexcept;

/// hhmmss with or without decimals of a second, in milliseconds.
std::optional<std::int32_t> to_time_of_day(std::string_view text) noexcept;

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

class Fields {
 public:
  /// The fields of `body` behind its address, which ends before `begin`.
  Fields(std::string_view body, std::size_t begin) noexcept : body_(body), begin_(begin), window_(begin) {
    if (begin <= body.size()) mark_ends();
  }

  /// The next field; empty behind the last one, which `count` does not count.
  std::string_view next() noexcept {
    if (ends_ == 0 && !next_window()) return {};
    const std::size_t begin = begin_;
    const std::size_t end = window_ + static_cast<std::size_t>(std::countr_zero(ends_));
    ends_ &= ends_ - 1;
    begin_ = end + 1;
    ++count_;
    return {body_.data() + begin, end - begin};
  }

  std::optional<double> number() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    return checked(to_number(text, before(text)));
  }

  /// A number that cannot be negative.
  std::optional<double> magnitude() noexcept {
    const auto value = number();
    if (value && std::signbit(*value)) fail();
    return value;
  }

  std::optional<int> whole() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    return checked(to_whole(text));
  }

  std::optional<int> six_digits() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    if (text.size() != 6) fail();
    return checked(to_whole(text));
  }

  std::optional<int> hex_digit() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    const auto value = std::string_view("0123456789ABCDEF").find(text[0]);
    if (text.size() != 1 || value == std::string_view::npos) fail();
    return static_cast<int>(value);
  }

  std::optional<std::int32_t> time_of_day() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    return checked(to_time_of_day(text));
  }

  /// The digits of a field just taken.
  std::optional<Split> split(std::string_view text) noexcept { return checked(to_split(text, before(text))); }

  /// Passes a value on; none marks the walk as failed.
  template <class T>
  std::optional<T> checked(std::optional<T> value) noexcept {
    if (!value) fail();
    return value;
  }

  void fail() noexcept { failed_ = true; }
  bool failed() const noexcept { return failed_; }
  int count() const noexcept { return count_; }  ///< fields taken that were there

 private:
  std::size_t before(std::string_view text) const noexcept {
    return static_cast<std::size_t>(text.data() - body_.data());
  }

  /// Marks where fields of the window end: at commas, and at the end of the sentence.
  void mark_ends() noexcept {
    const std::size_t size = std::min(kWindow, body_.size() - window_);
    ends_ = marks_of(body_.data() + window_, size, ',');
    if (size < kWindow) ends_ |= std::uint64_t{1} << size;
  }

  bool next_window() noexcept;  ///< false behind the last field

  static constexpr std::size_t kWindow = 64;
  std::string_view body_;
  std::size_t begin_;   ///< of the next field
  std::size_t window_;  ///< where the marked stretch begins
  std::uint64_t ends_ = 0;
  int count_ = 0;
  bool failed_ = false;
};

}  // namespace stillpoint::nmea
