#include "base/utf8.hpp"

#include "base/typed.hpp"

namespace stillpoint {

std::size_t utf8_length(std::string_view text, std::size_t at) noexcept {
  const auto byte = [&](std::size_t i) -> unsigned {
    return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0U;
  };
  const auto tail = [&](std::size_t i, unsigned low = 0x80, unsigned high = 0xBF) {
    return byte(i) >= low && byte(i) <= high;
  };
  const unsigned first = byte(0);
  if (first < 0x80) return at < text.size() ? 1 : 0;
  if (first >= 0xC2 && first <= 0xDF) return tail(1) ? 2 : 0;
  if (first >= 0xE0 && first <= 0xEF) {
    return tail(1, first == 0xE0 ? 0xA0 : 0x80, first == 0xED ? 0x9F : 0xBF) && tail(2) ? 3 : 0;
  }
  if (first >= 0xF0 && first <= 0xF4) {
    return tail(1, first == 0xF0 ? 0x90 : 0x80, first == 0xF4 ? 0x8F : 0xBF) && tail(2) && tail(3) ? 4 : 0;
  }
  return 0;
}

std::optional<std::size_t> first_not_utf8(std::string_view text) noexcept {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = utf8_length(text, at);
    if (length == 0) return at;
    at += length;
  }
  return std::nullopt;
}

std::string shown(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = utf8_length(text, at);
    out += length == 0 || holds_unseen(text.substr(at, length)) ? std::string_view("?") : text.substr(at, length);
    at += length == 0 ? 1 : length;
  }
  return out;
}

std::string shown(std::string_view text, std::size_t most) {
  std::string out = shown(text);
  if (out.size() <= most) return out;
  while (most > 0 && (static_cast<unsigned char>(out[most]) & 0xC0U) == 0x80U) --most;
  out.resize(most);
  return out;
}

}  // namespace stillpoint
