#include "base/number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace stillpoint {

void append_fixed(std::string& out, double value, int decimals) {
  std::array<char, 400> digits;
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
