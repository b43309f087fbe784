#include "nmea/fields.hpp"

#include <charconv>

namespace stillpoint::nmea {
namespace {

constexpr std::array<double, 19> kPowersOfTen{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                              1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};

constexpr std::array<std::uint64_t, 19> kWholePowersOfTen = [] {
  std::array<std::uint64_t, 19> powers{1};
  for (std::size_t i = 1; i < powers.size(); ++i) powers[i] = powers[i - 1] * 10;
  return powers;
}();

/// Up to eight characters at once: digits, and perhaps a point, which is taken out by moving what is in front of it.
struct Part {
  std::uint64_t value = 0;
  std::size_t digits = 0;
  std::size_t decimals = 0;
  bool good = false;
};

inline Part part_of(const char* end, std::size_t length) noexcept {
  std::size_t decimals = 0;
  std::uint64_t word = last_padded(end, length);
  if (const std::uint64_t points = equal_bytes(word, '.'); points != 0) {
    const unsigned at = first_marked(points) * 8U;
    const std::uint64_t behind = word >> at >> 8U << at << 8U;
    const std::uint64_t in_front = word & ((std::uint64_t{1} << at) - 1U);
    word = behind | in_front << 8U | static_cast<unsigned char>('0');
    decimals = 7 - at / 8U;
    --length;
  }
  return {eight_digits(word), length, decimals, all_digits(word)};
}

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

std::optional<Split> to_split(std::string_view text, std::size_t before) noexcept {
  const std::size_t point = text.size() > 5 && text[4] == '.' ? 4 : 5;
  const bool usual = text.size() > point + 1 && text.size() <= point + 9 && text[point] == '.' && before + point >= 8;
  if (!usual) return to_split(text);
  const std::size_t decimals = text.size() - point - 1;
  const std::uint64_t whole = last_padded(text.data() + point, point);
  const std::uint64_t fraction = last_padded(text.data() + text.size(), decimals);
  if (!all_digits(whole) || !all_digits(fraction)) return std::nullopt;
  return Split{eight_digits(whole), eight_digits(fraction), kWholePowersOfTen[decimals], static_cast<int>(point),
               static_cast<int>(decimals)};
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

std::optional<double> to_number(std::string_view text, std::size_t before) noexcept {
  const bool negative = text.starts_with('-');
  const std::size_t size = text.size() - (negative ? 1 : 0);
  if (size == 0 || size > 8 || before + text.size() < 8) return to_number(text);
  const Part part = part_of(text.data() + text.size(), size);
  if (!part.good || part.digits == 0) return std::nullopt;
  const double value = static_cast<double>(static_cast<std::int64_t>(part.value)) / kPowersOfTen[part.decimals];
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

bool Fields::next_window() noexcept {
  while (ends_ == 0 && window_ + kWindow <= body_.size()) {
    window_ += kWindow;
    mark_ends();
  }
  return ends_ != 0;
}

}  // namespace stillpoint::nmea
