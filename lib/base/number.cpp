#include "base/number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

namespace stillpoint {

namespace {

constexpr int kFewDecimals = 4;
constexpr double kMostQuick = 1e13;
constexpr double kMostReadable = 1e12;
using Digits = std::array<char, 24>;  // of a 64-bit number, with a sign and a point

/// A number from its last digit to its first, with a point before the last `decimals`. Gives the first character.
char* write_back_from(char* end, std::uint64_t number, int decimals) noexcept {
  for (int place = 0; place <= decimals || number != 0; ++place, number /= 10) {
    if (place == decimals && decimals > 0) *--end = '.';
    *--end = static_cast<char>('0' + number % 10);
  }
  return end;
}

/// Does what the general conversion does, and quicker. A product with 10^4 needs ten bits more than the 53 of a double;
/// an extended double has them, so only the rounding to a whole number rounds.
void append_few_decimals(std::string& out, double value, int decimals) {
  constexpr std::array<long double, kFewDecimals + 1> kPowers{1, 10, 100, 1000, 10'000};
  const auto scaled =
      std::llrint(static_cast<long double>(std::abs(value)) * kPowers[static_cast<std::size_t>(decimals)]);
  Digits text;
  char* const end = text.data() + text.size();
  char* begin = write_back_from(end, static_cast<std::uint64_t>(scaled), decimals);
  if (value < 0 && scaled != 0) *--begin = '-';
  out.append(begin, end);
}

}  // namespace

void append_count(std::string& out, std::uint64_t value) {
  Digits text;
  char* const end = text.data() + text.size();
  out.append(write_back_from(end, value, 0), end);
}

void append_whole(std::string& out, std::int64_t value) {
  const auto magnitude = static_cast<std::uint64_t>(value);
  if (value < 0) out += '-';
  append_count(out, value < 0 ? 0 - magnitude : magnitude);
}

void append_fixed(std::string& out, double value, int decimals) {
  constexpr bool kExtended = std::numeric_limits<long double>::digits >= 64;
  if (kExtended && decimals >= 0 && decimals <= kFewDecimals && std::abs(value) < kMostQuick) {
    return append_few_decimals(out, value, decimals);
  }
  std::array<char, 400> digits{};
  const auto end =
      std::to_chars(digits.data(), digits.data() + digits.size(), value, std::chars_format::fixed, decimals).ptr;
  std::string_view text(digits.data(), static_cast<std::size_t>(end - digits.data()));
  const auto is_zero = [](char c) { return c == '0' || c == '.'; };
  if (text.starts_with('-') && std::all_of(text.begin() + 1, text.end(), is_zero)) text.remove_prefix(1);
  out += text;
}

std::string fixed(double value, int decimals) {
  std::string out;
  append_fixed(out, value, decimals);
  return out;
}

std::string in_few_digits(double value) {
  return fixed(value, value == std::floor(value) ? 0 : 1);
}

std::string readable(double value, int decimals) {
  if (std::abs(value) < kMostReadable) return fixed(value, decimals);
  Digits text;
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific, 2).ptr;
  return {text.data(), end};
}

std::string with_sign(double value, int decimals) {
  const std::string text = fixed(value, decimals);
  const bool zero = text.find_first_of("123456789") == std::string::npos;
  return text.front() == '-' || zero ? text : '+' + text;
}

std::string counted(std::uint64_t number, std::string_view one, std::string_view many) {
  std::string out = std::to_string(number) + ' ';
  if (number == 1) return out += one;
  return many.empty() ? (out += one) += 's' : out += many;
}

std::optional<double> parse_decimal(std::string_view text) noexcept {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::optional<long long> parse_integer(std::string_view text) noexcept {
  long long value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

}  // namespace stillpoint
