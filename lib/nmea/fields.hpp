#pragma once
/// Walks the comma-separated fields of one sentence and reads them exactly, without a locale.
///
/// A field that is there but cannot be right marks the whole walk as failed; a blank one reads as empty.
///
/// Units:   as printed.
/// Time:    milliseconds of the day, digits past milliseconds cut off.
/// Threads: one walker, one thread.
/// Errors:  `failed()`; nothing throws or allocates.

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

/// The same, for a text in front of which `before` more characters can be read.
std::optional<Digits> to_digits(std::string_view text, std::size_t before) noexcept;

/// The double nearest to a decimal number: '-', digits, one point; any length.
std::optional<double> to_number(std::string_view text) noexcept;
std::optional<double> to_number(std::string_view text, std::size_t before) noexcept;

/// hhmmss with or without decimals of a second, in milliseconds.
std::optional<std::int32_t> to_time_of_day(std::string_view text) noexcept;

/// Up to nine digits and nothing else; a blank text is no number.
inline std::optional<int> to_whole(std::string_view text) noexcept {
  if (text.empty() || text.size() > 9) return std::nullopt;
  int value = 0;
  for (const char c : text) {
    if (!is_digit(c)) return std::nullopt;
    value = value * 10 + (c - '0');
  }
  return value;
}

class Fields {
 public:
  static constexpr int kMost = 18;

  /// The first `most` fields of `body` behind its address, which ends before `begin`.
  Fields(std::string_view body, std::size_t begin, int most) noexcept;

  /// The next field; empty behind the last one.
  std::string_view next() noexcept {
    if (taken_ == count_) return {};
    const std::size_t begin = begin_;
    const std::size_t end = ends_[static_cast<std::size_t>(taken_++)];
    begin_ = end + 1;
    return body_.substr(begin, end - begin);
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
  std::optional<Digits> digits(std::string_view text) noexcept { return checked(to_digits(text, before(text))); }

  /// Passes a value on; none marks the walk as failed.
  template <class T>
  std::optional<T> checked(std::optional<T> value) noexcept {
    if (!value) fail();
    return value;
  }

  void fail() noexcept { failed_ = true; }
  bool failed() const noexcept { return failed_; }
  int count() const noexcept { return count_; }  ///< of the fields there are, at most as many as asked for

 private:
  std::size_t before(std::string_view text) const noexcept {
    return static_cast<std::size_t>(text.data() - body_.data());
  }

  std::string_view body_;
  std::size_t begin_ = 0;
  int taken_ = 0;
  int count_ = 0;
  bool failed_ = false;
  std::array<std::uint16_t, kMost> ends_;
};

}  // namespace stillpoint::nmea
