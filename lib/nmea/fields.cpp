#include "nmea/fields.hpp"

#include <charconv>
#include <limits>

namespace stillpoint::nmea {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

constexpr std::array<double, 19> kPowersOfTen{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                              1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};

constexpr std::array<std::uint64_t, 19> kWholePowersOfTen = [] {
  std::array<std::uint64_t, 19> powers{1};
  for (std::size_t i = 1; i < powers.size(); ++i) powers[i] = powers[i - 1] * 10;
  return powers;
}();

std::optional<double> to_number_slowly(std::string_view text) noexcept {
  const std::string_view magnitude = text.substr(text.starts_with('-') ? 1 : 0);
  if (magnitude.empty() || magnitude.find_first_not_of("0123456789.") != std::string_view::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

}  // namespace

std::optional<Digits> to_digits(std::string_view text) noexcept {
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

std::optional<Split> to_split(std::string_view text) noexcept {
  const auto digits = to_digits(text);
  if (!digits) return std::nullopt;
  const std::uint64_t scale = kWholePowersOfTen[static_cast<std::size_t>(digits->decimals)];
  return Split{digits->value / scale, digits->value % scale, scale, digits->count - digits->decimals, digits->decimals};
}

bool read_split(std::string_view text, Split& out) noexcept {
  const auto split = to_split(text);
  out = split.value_or(Split());
  return split.has_value();
}

bool read_split(std::string_view text, std::size_t before, Split& out) noexcept {
  const std::size_t point = text.size() > 5 && text[4] == '.' ? 4 : 5;
  const bool usual = text.size() > point + 1 && text.size() <= point + 9 && text[point] == '.' && before + point >= 8;
  if (!usual) return read_split(text, out);
  const std::size_t decimals = text.size() - point - 1;
  const std::uint64_t whole = last_digits(text.data() + point, point);
  const std::uint64_t fraction = last_digits(text.data() + text.size(), decimals);
  if (no_digits(whole) != 0 || no_digits(fraction) != 0) return false;
  out = {number_of(whole), number_of(fraction), kWholePowersOfTen[decimals], static_cast<int>(point),
         static_cast<int>(decimals)};
  return true;
}

/// A whole number below 2^53 divided by an exact power of ten is rounded once, and so equals what `std::from_chars`
/// gives; what does not fit goes to that function.
std::optional<double> to_number(std::string_view text) noexcept {
  const bool negative = text.starts_with('-');
  const auto digits = to_digits(text.substr(negative ? 1 : 0));
  if (!digits || digits->value > (std::uint64_t{1} << 53U)) return to_number_slowly(text);
  const double value = static_cast<double>(digits->value) / kPowersOfTen[static_cast<std::size_t>(digits->decimals)];
  return negative ? -value : value;
}

/// Up to eight characters. The point is taken out by moving the digits in front of it one place up.
double number_or_nan(std::string_view text, std::size_t before) noexcept {
  const bool negative = !text.empty() && text.front() == '-';
  const std::size_t size = text.size() - (negative ? 1 : 0);
  if (size == 0 || size > 8 || before + text.size() < 8) return to_number(text).value_or(kNan);
  std::uint64_t values = last_digits(text.data() + text.size(), size);
  std::size_t decimals = 0;
  const std::uint64_t points = zero_bytes(values ^ (kOnes * ('.' ^ '0')));
  if (points != 0) {
    if (size == 1) return kNan;
    const std::uint64_t up_to_point = points ^ (points - 1);
    values = (values & ~up_to_point) | (values & (up_to_point >> 8U)) << 8U;
    decimals = 7 - first_marked(points);
  }
  if (no_digits(values) != 0) return kNan;
  const double value = static_cast<double>(static_cast<std::int64_t>(number_of(values))) / kPowersOfTen[decimals];
  return negative ? -value : value;
}

std::optional<std::int32_t> to_time_of_day(std::string_view text) noexcept {
  if (text.size() < 6 || (text.size() > 6 && text[6] != '.')) return std::nullopt;
  const auto two = [text](std::size_t at) { return (text[at] - '0') * 10 + (text[at + 1] - '0'); };
  for (std::size_t at = 0; at < 6; ++at) {
    if (!is_digit(text[at])) return std::nullopt;
  }
  const int hour = two(0);
  const int minute = two(2);
  const int second = two(4);
  if (hour > 23 || minute > 59 || second > 60) return std::nullopt;
  std::int32_t ms = ((hour * 60 + minute) * 60 + second) * 1000;
  std::int32_t scale = 100;
  for (std::size_t at = 7; at < text.size(); ++at, scale /= 10) {
    if (!is_digit(text[at])) return std::nullopt;
    ms += (text[at] - '0') * scale;
  }
  return ms;
}

std::int32_t time_or_none(std::string_view text, std::size_t behind) noexcept {
  const bool usual = text.size() >= 6 && text.size() + behind >= 8 && (text.size() == 6 || text[6] == '.');
  if (!usual) return to_time_of_day(text).value_or(kNoTime);
  const std::uint64_t values = digit_values(load_word(text.data())) & 0xFFFF'FFFF'FFFFU;
  if (no_digits(values) != 0) return kNoTime;
  const std::uint64_t pairs = (values * (10 * 256 + 1)) >> 8U;
  const auto hour = static_cast<std::int32_t>(pairs & 0xFFU);
  const auto minute = static_cast<std::int32_t>(pairs >> 16U & 0xFFU);
  const auto second = static_cast<std::int32_t>(pairs >> 32U & 0xFFU);
  if (hour > 23 || minute > 59 || second > 60) return kNoTime;
  std::int32_t ms = ((hour * 60 + minute) * 60 + second) * 1000;
  std::int32_t scale = 100;
  for (std::size_t at = 7; at < text.size(); ++at, scale /= 10) {
    if (!is_digit(text[at])) return kNoTime;
    ms += (text[at] - '0') * scale;
  }
  return ms;
}

}  // namespace stillpoint::nmea
