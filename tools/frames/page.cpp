#include "page.hpp"

#include <algorithm>

namespace stillpoint::frames {
namespace {

bool starts_character(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80U;
}

std::string cut(std::string_view text, std::size_t columns) {
  std::size_t seen = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (starts_character(text[i]) && ++seen > columns) return std::string(text.substr(0, i));
  }
  return std::string(text);
}

}  // namespace

std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(std::ranges::count_if(text, starts_character));
}

std::string left(std::string_view text, std::size_t columns) {
  const std::size_t width = width_of(text);
  if (width > columns) return cut(text, columns - 1) + "~";
  return std::string(text) + std::string(columns - width, ' ');
}

std::string right(std::string_view text, std::size_t columns) {
  const std::size_t width = width_of(text);
  return width < columns ? std::string(columns - width, ' ') + std::string(text) : std::string(text);
}

std::string wrapped(std::string_view text, std::string_view indent) {
  std::string out;
  std::string line(indent);
  bool empty = true;
  while (!text.empty()) {
    const std::size_t blank = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, blank);
    text.remove_prefix(std::min(blank + 1, text.size()));
    if (!empty && width_of(line) + 1 + width_of(word) > kColumns) {
      out += line + "\n";
      line = std::string(indent);
      empty = true;
    }
    line += (empty ? "" : " ") + std::string(word);
    empty = false;
  }
  return out + line + "\n";
}

}  // namespace stillpoint::frames
