#include "nmea/fields.hpp"

#include <charconv>
#include <limits>

namespace stillpoint::nmea {
namespace {

constexpr std::array<double, 19> kPowersOfTen{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                              1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};

/// Up to eight characters: digits, and perhaps a point.
struct Part {
  std::uint64_t value = 0;
  int digits = 0;
  int decimals = -1;  ///< -1: no point
  bool good = false;
};

Part part_of(const char* end, std::size_t length) noexcept {
  Part part;
  part.digits = static_cast<int>(length);
  std::uint64_t word = last_padded(end, length);
  if (const std::uint64_t points = equal_bytes(word, '.'); points != 0) {
    const unsigned at = first_marked(points) * 8U;
    const std::uint64_t behind = word >> at >> 8U << at << 8U;
    const std::uint64_t in_front = word & ((std::uint64_t{1} << at) - 1U);
    word = behind | in_front << 8U | static_cast<unsigned char>('0');
    part.decimals = 7 - static_cast<int>(at / 8U);
    --part.digits;
  }
  part.good = all_digits(word);
  part.value = eight_digits(word);
  return part;
}

std::optional<Digits> together(const Part& head, const Part& tail) noexcept {
  constexpr std::array<std::uint64_t, 2> kShift{10'000'000, 100'000'000};  // the tail has seven digits or eight
  const bool two_points = head.decimals >= 0 && tail.decimals >= 0;
  if (!head.good || !tail.good || two_points) return std::nullopt;
  const std::uint64_t value = head.value * kShift[static_cast<std::size_t>(tail.digits - 7)] + tail.value;
  const int decimals = tail.decimals >= 0 ? tail.decimals : head.decimals >= 0 ? head.decimals + 8 : 0;
  return Digits{value, head.digits + tail.digits, decimals};
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

std::optional<Digits> to_digits(std::string_view text, std::size_t before) noexcept {
  const std::size_t size = text.size();
  if (size == 0 || size > 16 || before + size < (size > 8 ? 16U : 8U)) return to_digits(text);
  const char* const end = text.data() + size;
  if (size > 8) return together(part_of(end - 8, size - 8), part_of(end, 8));
  const Part part = part_of(end, size);
  if (!part.good || part.digits == 0) return std::nullopt;
  return Digits{part.value, part.digits, part.decimals < 0 ? 0 : part.decimals};
}

std::optional<double> to_number(std::string_view text) noexcept {
  return to_number(text, 0);
}

/// A whole number below 2^53 divided by an exact power of ten is rounded once, and so equals what `std::from_chars`
/// gives; what does not fit goes to that function.
std::optional<double> to_number(std::string_view text, std::size_t before) noexcept {
  const std::size_t sign = text.starts_with('-') ? 1 : 0;
  const auto digits = to_digits(text.substr(sign), before + sign);
  if (!digits || digits->value > (std::uint64_t{1} << 53U)) return to_number_slowly(text);
  const double value = static_cast<double>(digits->value) / kPowersOfTen[static_cast<std::size_t>(digits->decimals)];
  return sign != 0 ? -value : value;
}

std::optional<std::int32_t> to_time_of_day(std::string_view text) noexcept {
  if (text.size() < 6 || (text.size() > 6 && text[6] != '.')) return std::nullopt;
  const auto hhmmss = to_whole(text.substr(0, 6));
  if (!hhmmss) return std::nullopt;
  const int hour = *hhmmss / 10'000;
  const int minute = *hhmmss / 100 % 100;
  const int second = *hhmmss % 100;
  if (hour > 23 || minute > 59 || second > 60) return std::nullopt;
  std::int32_t ms = ((hour * 60 + minute) * 60 + second) * 1000;
  std::int32_t scale = 100;
  for (std::size_t at = 7; at < text.size(); ++at, scale /= 10) {
    if (!is_digit(text[at])) return std::nullopt;
    ms += (text[at] - '0') * scale;
  }
  return ms;
}

// `ends_` is left as it is: only what is written is read.
Fields::Fields(std::string_view body, std::size_t begin, int most) noexcept : body_(body), begin_(begin) {
  if (begin > body.size() || body.size() > std::numeric_limits<std::uint16_t>::max()) return;
  const auto add = [this](std::size_t end) {
    ends_[static_cast<std::size_t>(count_++)] = static_cast<std::uint16_t>(end);
  };
  std::size_t at = begin;
  for (; at + 8 <= body.size(); at += 8) {
    for (std::uint64_t commas = equal_bytes(load_word(body.data() + at), ','); commas != 0; commas &= commas - 1) {
      add(at + first_marked(commas));
      if (count_ == most) return;
    }
  }
  for (; at < body.size(); ++at) {
    if (body[at] != ',') continue;
    add(at);
    if (count_ == most) return;
  }
  add(body.size());
}

}  // namespace stillpoint::nmea
