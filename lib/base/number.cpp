#include "base/number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace stillpoint {

std::string fixed(double value, int decimals) {
  std::array<char, 400> out{};
  const auto end = std::to_chars(out.data(), out.data() + out.size(), value, std::chars_format::fixed, decimals).ptr;
  std::string_view text(out.data(), static_cast<std::size_t>(end - out.data()));
  const bool zero = std::all_of(text.begin(), text.end(), [](char c) { return c == '-' || c == '0' || c == '.'; });
  if (zero && !text.empty() && text.front() == '-') text.remove_prefix(1);
  return std::string(text);
}

std::string with_sign(double value, int decimals) {
  const std::string text = fixed(value, decimals);
  const bool zero = text.find_first_of("123456789") == std::string::npos;
  return text.front() == '-' || zero ? text : '+' + text;
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
