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
#include <charconv>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string_view>

namespace stillpoint::nmea {

constexpr bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}

inline constexpr std::array<double, 23> kPowersOfTen{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                     1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                     1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/// The digits of a decimal number without its point and sign.
struct Digits {
  std::uint64_t value = 0;
  int count = 0;     ///< all digits, leading zeros included
  int decimals = 0;  ///< of them behind the point
};

/// Digits with at most one point. More than 18 digits do not fit and give nothing.
inline std::optional<Digits> to_digits(std::string_view text) noexcept {
  Digits digits;
  bool past_point = false;
  for (const char c : text) {
    if (is_digit(c)) {
      digits.value = digits.value * 10 + static_cast<std::uint64_t>(c - '0');
      ++digits.count;
      digits.decimals += past_point ? 1 : 0;
    } else if (c == '.' && !past_point) {
      past_point = true;
    } else {
      return std::nullopt;
    }
    if (digits.count > 18) return std::nullopt;
  }
  if (digits.count == 0) return std::nullopt;
  return digits;
}

/// The slow, general reading: as `to_number`, for numbers of any length.
inline std::optional<double> to_number_slowly(std::string_view text) noexcept {
  const std::string_view magnitude = text.substr(text.starts_with('-') ? 1 : 0);
  if (magnitude.empty() || magnitude.find_first_not_of("0123456789.") != std::string_view::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

/// The double nearest to a decimal number: '-', digits, one point. A whole number below 2^53 divided by an exact power
/// of ten is rounded once, and so equals what `std::from_chars` gives.
inline std::optional<double> to_number(std::string_view text) noexcept {
  const bool negative = text.starts_with('-');
  const auto digits = to_digits(text.substr(negative ? 1 : 0));
  if (!digits || digits->value > (std::uint64_t{1} << 53U)) return to_number_slowly(text);
  const double value = static_cast<double>(digits->value) / kPowersOfTen[static_cast<std::size_t>(digits->decimals)];
  return negative ? -value : value;
}

/// hhmmss with or without decimals of a second, in milliseconds.
inline std::optional<std::int32_t> to_time_of_day(std::string_view text) noexcept {
  const auto two = [text](std::size_t at) { return (text[at] - '0') * 10 + (text[at + 1] - '0'); };
  if (text.size() < 6 || (text.size() > 6 && text[6] != '.')) return std::nullopt;
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (at != 6 && !is_digit(text[at])) return std::nullopt;
  }
  const int hour = two(0);
  const int minute = two(2);
  const int second = two(4);
  if (hour > 23 || minute > 59 || second > 60) return std::nullopt;
  std::int32_t ms = ((hour * 60 + minute) * 60 + second) * 1000;
  std::int32_t scale = 100;
  for (std::size_t at = 7; at < text.size() && scale > 0; ++at, scale /= 10) ms += (text[at] - '0') * scale;
  return ms;
}

class Fields {
 public:
  explicit Fields(std::string_view text) noexcept : rest_(text) {}

  /// The next field; empty behind the last one, which `count` does not count.
  std::string_view next() noexcept {
    if (ended_) return {};
    ++count_;
    const std::size_t comma = rest_.find(',');
    const std::string_view field = rest_.substr(0, comma);
    if (comma == std::string_view::npos) {
      ended_ = true;
    } else {
      rest_.remove_prefix(comma + 1);
    }
    return field;
  }

  std::optional<double> number() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    const auto value = to_number(text);
    if (!value) fail();
    return value;
  }

  /// A number that cannot be negative.
  std::optional<double> magnitude() noexcept {
    const auto value = number();
    if (value && std::signbit(*value)) fail();
    return value;
  }

  /// Up to nine digits and nothing else.
  std::optional<int> whole() noexcept { return whole_of(next()); }

  std::optional<int> six_digits() noexcept {
    const std::string_view text = next();
    if (!text.empty() && text.size() != 6) fail();
    return whole_of(text);
  }

  std::optional<int> hex_digit() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    const auto value = std::string_view("0123456789ABCDEF").find(text);
    if (text.size() != 1 || value == std::string_view::npos) fail();
    return static_cast<int>(value);
  }

  /// hhmmss, with or without decimals of a second.
  std::optional<std::int32_t> time_of_day() noexcept {
    const std::string_view text = next();
    if (text.empty()) return std::nullopt;
    const auto time = to_time_of_day(text);
    if (!time) fail();
    return time;
  }

  void fail() noexcept { failed_ = true; }
  bool failed() const noexcept { return failed_; }
  int count() const noexcept { return count_; }

 private:
  std::optional<int> whole_of(std::string_view text) noexcept {
    if (text.empty()) return std::nullopt;
    int value = 0;
    for (const char c : text) {
      if (!is_digit(c) || text.size() > 9) {
        fail();
        return std::nullopt;
      }
      value = value * 10 + (c - '0');
    }
    return value;
  }

  std::string_view rest_;
  int count_ = 0;
  bool ended_ = false;
  bool failed_ = false;
};

}  // namespace stillpoint::nmea
